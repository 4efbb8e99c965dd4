"""Every kind of answer on the page, as a browser without script posts it."""

from __future__ import annotations

import gzip
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from academy.craft.exercise.engine import Level, families
from academy.craft.exercise.spots import read_spot
from academy.craft.head.sheet import VIEWS
from academy.craft.measure import Spot
from academy.exercises import services
from academy.exercises.queries.heads import head_views, nudged, zone_middles
from academy.exercises.queries.lines import joined
from academy.exercises.services import PartWanted
from tests.trial import LEFT, Trial, registered

if TYPE_CHECKING:
    from django.test import Client

    from academy.exercises.models import AnswerSheet
    from academy.people.models import Person
    from tests.site.exercises.conftest import SetPaper


@pytest.fixture
def sheet(learner: Person, set_paper: SetPaper) -> Iterator[AnswerSheet]:
    with registered():
        paper = set_paper(parts=[PartWanted(Trial.key, Level.WORKING, 1)])
        yield services.start_sheet(paper=paper, apprentice=learner)


@pytest.fixture
def client(signed_in: Callable[[Person], Client], learner: Person) -> Client:
    return signed_in(learner)


def page(client: Client, sheet: AnswerSheet) -> str:
    at = {"academy": "larkmere", "token": sheet.paper.token}
    return " ".join(client.get(reverse("exercises:paper-answer", kwargs=at)).text.split())


def keep(client: Client, sheet: AnswerSheet, **fields: Any) -> dict[str, str]:
    """Post fields of question 1 (or buttons); what is kept then."""
    at = {"academy": "larkmere", "token": sheet.token}
    buttons = {"to", "none", "middle", "nudge"}
    posted = {key if key in buttons else f"q1-{key}": value for key, value in fields.items()}
    answer = client.post(reverse("exercises:sheet-keep", kwargs=at), posted)
    assert answer.status_code == 302
    return dict(sheet.answers.values_list("field", "written"))


def test_depths_of_lift_get_a_keyboard_with_a_minus(client: Client, sheet: AnswerSheet) -> None:
    text = page(client, sheet)
    assert 'name="q1-lift" value="" inputmode="text"' in text
    assert 'name="q1-gap" value="" inputmode="decimal"' in text
    assert keep(client, sheet, lift="\N{MINUS SIGN}2")["lift"] == "\N{MINUS SIGN}2"
    assert "Reads as \N{MINUS SIGN}2 depths" in page(client, sheet)


def test_none_is_written_and_taken_away_by_its_button(client: Client, sheet: AnswerSheet) -> None:
    assert page(client, sheet).count('name="none"') == 1  # only where none is an answer
    assert keep(client, sheet, none="q1-check")["check"] == "none"
    assert 'value="q1-check" aria-pressed="true"' in page(client, sheet)
    assert keep(client, sheet, none="q1-check")["check"] == ""


def test_several_ticks_are_one_answer_and_can_all_be_taken_away(
    client: Client, sheet: AnswerSheet
) -> None:
    kept = keep(client, sheet, tools=["brush", "bowl", ""])
    assert kept["tools"] == "brush, bowl"
    text = page(client, sheet)
    assert 'value="brush" checked' in text
    assert 'value="comb" checked' not in text
    assert keep(client, sheet, tools=[""])["tools"] == ""
    assert 'value="brush" checked' not in page(client, sheet)


def test_none_of_these_is_an_answer_of_its_own(client: Client, sheet: AnswerSheet) -> None:
    keep(client, sheet, tools=["none", ""])
    assert 'value="none" checked' in page(client, sheet)
    assert "Reads as none of these" in page(client, sheet)
    keep(client, sheet, tools=["brush", "none", ""])
    assert "Choose some of these or none of them, not both." in page(client, sheet)


def test_an_order_is_given_place_by_place(client: Client, sheet: AnswerSheet) -> None:
    assert keep(client, sheet, order=["c", "a", "d", "b"])["order"] == "c, a, d, b"
    assert "Reads as C, A, D, B" in page(client, sheet)


def test_an_open_place_of_an_order_stays_open_and_the_line_too(
    client: Client, sheet: AnswerSheet
) -> None:
    before = page(client, sheet).count("7 lines open")
    assert keep(client, sheet, order=["", "a", "", "b"])["order"] == ", a, , b"
    text = page(client, sheet)
    second = text.partition('id="id_q1-order_2"')[2].partition("</select>")[0]
    assert '<option value="a" selected>' in second
    first = text.partition('id="id_q1-order_1"')[2].partition("</select>")[0]
    assert "selected" not in first
    assert "C, D are missing" in text
    assert text.count("7 lines open") == before == 1


def test_a_step_that_stands_twice_in_an_order_is_named(client: Client, sheet: AnswerSheet) -> None:
    keep(client, sheet, order=["a", "a", "b", "c"])
    assert "A stands twice. Each has one place." in page(client, sheet)


def test_a_place_on_the_head_is_put_in_the_middle_of_a_zone_and_moved(
    client: Client, sheet: AnswerSheet
) -> None:
    middle = dict(zone_middles())["crown"]
    at = {"academy": "larkmere", "token": sheet.token}
    address = reverse("exercises:sheet-keep", kwargs=at)
    client.post(address, {"middle": "q1-left", "zone-q1-left": middle})
    assert sheet.answers.get().written == middle
    assert "Placed on the crown" in page(client, sheet)
    keep(client, sheet, nudge="q1-left up")
    before, after = read_spot(middle).value, read_spot(sheet.answers.get().written).value
    assert isinstance(before, Spot)
    assert isinstance(after, Spot)
    assert 1.5 < before.distance_mm(after) < 2.5


@pytest.mark.parametrize("nonsense", ["q1-left sideways", "q1-left", "q9-x up", "", "q1-gap up"])
def test_a_step_that_is_none_moves_nothing(
    nonsense: str, client: Client, sheet: AnswerSheet
) -> None:
    assert keep(client, sheet, left="60 45")["left"] == "60 45"
    assert keep(client, sheet, nudge=nonsense)["left"] == "60 45"


def test_a_point_is_drawn_in_every_view_that_sees_it(client: Client, sheet: AnswerSheet) -> None:
    keep(client, sheet, left="60 45")
    text = page(client, sheet)
    for view in VIEWS:
        drawn = text.partition(f'data-view="{view}"')[2].partition("</svg>")[0]
        dot = drawn.partition('data-dot="q1-left"')[2].partition(">")[0]
        # 60 degrees to the left and 45 up: seen from the left, the front and above.
        assert ("hidden" not in dot) == (view in {"left", "front", "top"}), view


def test_a_step_is_taken_in_the_view_the_point_was_put_on() -> None:
    tapped = read_spot("front 20 60").value
    assert isinstance(tapped, Spot)
    moved = read_spot(nudged(tapped, "front 20 60", "right")).value
    assert isinstance(moved, Spot)
    assert round(float(moved.at_mm[0] - tapped.at_mm[0]), 1) == 2.0  # the wearer's left


def test_the_head_is_drawn_once_however_many_points_are_asked(
    client: Client, sheet: AnswerSheet
) -> None:
    text = page(client, sheet)
    assert text.count('<symbol id="head-top"') == 1
    assert text.count('<use href="#head-top"') == 1
    assert len(head_views([])) == len(VIEWS)


def test_a_picture_stands_over_the_lines_with_its_words(
    client: Client, sheet: AnswerSheet, learner: Person, set_paper: SetPaper
) -> None:
    """But for the head on which places are put: that is drawn to be tapped."""
    said = 'role="img" aria-label="A parting with three marks across it."'
    assert said not in page(client, sheet)
    paper = set_paper(parts=[PartWanted(Trial.key, Level.FIRST, 1)])
    text = page(client, services.start_sheet(paper=paper, apprentice=learner))
    assert said in text
    assert text.index(said) < text.index('name="q1-order"')


@pytest.mark.parametrize(("level", "bare"), [(Level.FIRST, False), (Level.EXAM, True)])
def test_the_head_of_corners_is_bare_where_its_picture_is(
    level: Level, bare: bool, client: Client, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[PartWanted("eye-corners", level, 1)])
    text = page(client, services.start_sheet(paper=paper, apprentice=learner))
    assert ('class="pad bare"' in text) is bare


def test_a_sheet_with_all_its_questions_stays_light(
    client: Client, learner: Person, set_paper: SetPaper
) -> None:
    """It comes at once, so that no signal is needed between questions."""
    calculated = [f.key for f in families() if not f.key.startswith(("eye", "order"))][:10]
    drawn = [f.key for f in families() if f.key.startswith("eye")]
    for keys, limit in ((calculated, 15_000), (drawn, 30_000)):
        parts = [PartWanted(key, Level.EXAM, 1) for key in keys]
        paper = set_paper(parts=parts)
        services.start_sheet(paper=paper, apprentice=learner)
        at = reverse("exercises:paper-answer", kwargs={"academy": "larkmere", "token": paper.token})
        answer = client.get(at, headers={"accept-encoding": "gzip"})
        assert answer["Content-Encoding"] == "gzip"
        assert len(answer.content) <= limit
        assert gzip.decompress(answer.content).count(b"<article") == len(keys)


@pytest.mark.parametrize(
    ("texts", "text"),
    [
        ([" 1,5 "], " 1,5 "),
        ([""], ""),
        (["", ""], ""),
        (["a", "", "b", ""], "a, , b"),
        (["", "a"], ", a"),
    ],
)
def test_the_values_of_one_field_become_one_text(texts: list[str], text: str) -> None:
    assert joined(texts) == text


def test_the_trial_marks_its_own_key_right(sheet: AnswerSheet, learner: Person) -> None:
    answers = {
        (1, "lift"): "-2",
        (1, "check"): "none",
        (1, "tools"): "bowl, brush",
        (1, "order"): "b, a, c, d",
        (1, "left"): f"{LEFT.azimuth} {LEFT.elevation}",
    }
    done = services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert done.marks == 7
