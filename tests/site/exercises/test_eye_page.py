"""The page "Your eye": what was read by eye over time, for the apprentice and for staff."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from academy.craft.exercise.engine import Level
from academy.craft.measure import Spot
from academy.exercises import services
from academy.exercises.models import Paper
from academy.exercises.queries.eye import eye_parts
from academy.exercises.services import PartWanted
from academy.exercises.services.keeping import questions_of
from academy.people.models import Role
from tests.site.exercises.conftest import DILUTE, SetPaper

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

WHITE = PartWanted("eye-white-share", Level.WORKING, 5)
DEPTH = PartWanted("eye-depth", Level.WORKING, 3)
CORNERS = PartWanted("eye-corners", Level.FIRST, 3)
LATER = timedelta(days=70)


def read(paper: Paper, person: Person, off: int) -> None:
    """A sheet with every reading so far off: per cent or depths too high, degrees too low."""
    sheet = services.start_sheet(paper=paper, apprentice=person)
    answers = {}
    for row in questions_of(sheet):
        for field in row.question.fields:
            right = row.question.key[field.key]
            if isinstance(right, Decimal):
                answers[row.position, field.key] = str(min(max(right + off, Decimal(0)), 100))
            elif isinstance(right, Spot):
                ahead = right.elevation - (off if right.azimuth == 0 else 0)
                answers[row.position, field.key] = f"{right.azimuth} {ahead}"
    services.hand_in(sheet=sheet, by=person, answers=answers)


def address(person: Person) -> str:
    return f"/larkmere/exercises/eye/{person.token}/"


def shown(browser: Client, person: Person) -> str:
    answer = browser.get(address(person))
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_an_apprentice_is_told_how_their_eye_leans_and_what_it_was(
    learner: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    paper = set_paper(parts=[WHITE, DILUTE])
    read(paper, learner, 9)
    month = timezone.localdate().strftime("%B")
    with time_machine.travel(timezone.now() + LATER):
        read(paper, learner, 4)
        read(paper, learner, 4)
        page = shown(signed_in(learner), learner)
    assert f"You read white 4 points too high; it was 9 in {month}." in page
    assert f"<h1>You read white 4 points too high; it was 9 in {month}</h1>" in page
    assert "Single readings lie about 0 points away from that." in page
    assert "15 readings" in page
    assert page.count('class="eye-in"') == 15
    assert "Depth by eye" in page.split("Not read yet")[1]


def test_staff_read_it_of_somebody_by_name(
    learner: Person,
    set_paper: SetPaper,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    read(set_paper(parts=[WHITE]), learner, -8)
    for role in (Role.EDUCATOR, Role.ASSESSOR, Role.VERIFIER, Role.MANAGER):
        page = shown(signed_in(make_member(role)), learner)
        assert f"{learner.name} reads white 8 points too low." in page


def test_nobody_looks_into_another_apprentice_s_eye(
    learner: Person,
    academy: Academy,
    educator: Person,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    other = make_member(Role.APPRENTICE, name="Another Learner")
    assert signed_in(other).get(address(learner)).status_code == 404
    assert signed_in(educator).get(address(educator)).status_code == 404


def test_before_anything_is_read_the_page_says_what_it_takes(
    learner: Person, signed_in: Callable[[Person], Client], educator: Person
) -> None:
    page = shown(signed_in(learner), learner)
    assert "Nothing read by eye yet" in page
    assert "your educator sets an exercise of the eye" in page
    assert "Set a paper with an exercise of the eye" in shown(signed_in(educator), learner)


def test_below_five_readings_it_is_too_few_to_say(
    learner: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    read(set_paper(parts=[DEPTH]), learner, 0)
    page = shown(signed_in(learner), learner)
    assert "Too few to say: 3 readings, 5 are needed." in page
    assert "All so far" in page


def test_corners_are_told_in_millimetres(
    learner: Person, academy: Academy, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    read(set_paper(parts=[CORNERS]), learner, 0)
    page = shown(signed_in(learner), learner)
    assert "Your corners lie 0 mm off" in page
    assert "Upwards: mm off." in page


def test_what_was_left_empty_or_cannot_be_read_says_nothing_of_an_eye(
    learner: Person, academy: Academy, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    answers = {(1, "share"): "plenty", (2, "share"): "40 %"}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert [part.count for part in eye_parts(learner, academy, learner)] == [1, 0, 0, 0]


def test_a_test_counts_once_its_solution_is_shown(
    learner: Person, academy: Academy, set_paper: SetPaper
) -> None:
    due_on = timezone.localdate() + timedelta(days=2)
    paper = set_paper(parts=[WHITE], kind=Paper.Kind.TEST, due_on=due_on)
    read(paper, learner, 5)
    assert eye_parts(learner, academy, learner)[0].count == 0
    with time_machine.travel(timezone.now() + timedelta(days=3)):
        assert eye_parts(learner, academy, learner)[0].count == 5


def test_a_sheet_that_is_not_handed_in_is_not_read(
    learner: Person, academy: Academy, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "share"): "40"})
    assert eye_parts(learner, academy, learner)[0].count == 0


def test_the_page_asks_the_database_as_often_for_one_sheet_as_for_eight(
    learner: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    browser, counts = signed_in(learner), []
    paper = set_paper(parts=[WHITE, DEPTH, CORNERS])
    for sheets in (1, 7):
        for _ in range(sheets):
            read(paper, learner, 2)
        with CaptureQueriesContext(connection) as caught:
            shown(browser, learner)
        counts.append(len(caught))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("page", ["/larkmere/exercises/", "/larkmere/progress/{}/"])
def test_the_way_to_it_stands_on_the_own_papers_and_on_the_person_s_page(
    page: str, learner: Person, signed_in: Callable[[Person], Client]
) -> None:
    answer = signed_in(learner).get(page.format(learner.token))
    assert address(learner) in answer.content.decode()
