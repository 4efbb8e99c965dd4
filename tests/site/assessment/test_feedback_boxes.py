"""Feedback in four boxes: sentence by sentence of the academy's rule (trade.md 5.6)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.utils import timezone

from academy.assessment.boxes import Boxes
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Feedback
from academy.assessment.phrases import LONGEST, begun_with, phrases_for, unedited
from academy.assessment.services import faults
from academy.assessment.services.feedback import add_feedback, correct_feedback
from academy.assessment.services.submitting import submit
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.curriculum.content import FaultContent
from academy.curriculum.reference import person_words
from academy.curriculum.services import publish_version, start_module, write_draft
from tests.site.assessment.places import at_place
from tests.site.making import draft_head, full_boxes, judged_head, mark_all, module_content

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

NUMBERS = {"against_level", "next_number", "next_on"}
PATCHY = "Work against patchy nape: the partings are too deep"


@pytest.fixture
def faulty(academy: Academy, educator: Person) -> ModuleVersion:
    """Like `version`, with two faults of its own."""
    known = (
        FaultContent("Patchy nape", "The partings are too deep."),
        FaultContent("Runs out of product", "The grams were guessed."),
    )
    draft = start_module(academy=academy, by=educator, key="faulty", title="Faulty")
    content = replace(module_content("faulty", zones=True), faults=known)
    write_draft(version=draft, content=content, by=educator)
    return publish_version(version=draft, by=educator)


@pytest.fixture
def open_head(faulty: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Every level at 3, rated 4, not submitted."""
    draft = draft_head(faulty, assessor, apprentice)
    mark_all(draft, level=3, overall=4)
    return draft


@pytest.fixture
def at(open_head: Assessment, url: Callable[..., str]) -> str:
    return url("assessment-feedback", token=open_head.token)


def typed(boxes: Boxes, **more: Any) -> dict[str, Any]:
    """The boxes as a browser sends them."""
    sent = {name: "" if value is None else value for name, value in boxes.as_json().items()}
    return {**sent, **more}


def test_feedback_belongs_to_each_assessment_and_is_given_when_it_is_submitted(
    open_head: Assessment, at: str, chair: Client
) -> None:
    chair.post(at, typed(full_boxes(), keep="1"))
    assert not Feedback.objects.exists()
    chair.post(at, typed(full_boxes(), submit="1"))
    assert Feedback.objects.get().assessment == open_head


@pytest.mark.parametrize(
    ("boxes", "filled"),
    [
        (Boxes(seen_zone="nape", seen_what="third parting: white showing"), "seen"),
        (Boxes(against_criterion="A2", against_level=0), "against"),
        (Boxes(why="comb tipped"), "why"),
        (
            Boxes(next_action="nape panels at 3 mm", next_number=3, next_on=timezone.localdate()),
            "next",
        ),
    ],
)
def test_a_point_is_a_box_with_all_its_parts_filled(boxes: Boxes, filled: str) -> None:
    assert [key for key, done in boxes.filled.items() if done] == [filled]
    parts = [name for name, value in boxes.as_json().items() if value not in ("", None)]
    for part in parts:
        without = {**boxes.as_json(), part: None if part in NUMBERS else ""}
        assert Boxes.from_json(without).count == 0


def test_it_is_never_computed_from_a_count_of_words() -> None:
    long = " ".join(["words"] * 60)
    assert Boxes(seen_what=long, next_action=long, note=long).count == 0
    assert Boxes(why="tipped").count == 1


def test_which_boxes_are_whole_is_shown_while_typing_and_kept(
    open_head: Assessment, at: str, chair: Client
) -> None:
    data = {"seen_zone": "nape", "seen_what": "white showing", "why": "", "keep": "1"}
    said = chair.post(at, data, headers={"hx-request": "true"}).content.decode()
    assert "1 of 4 boxes whole. Open: Against, Why, Next." in " ".join(said.split())
    assert 'id="box-seen-1" hx-swap-oob="true"' in said
    assert "<html" not in said
    kept = Assessment.objects.get(pk=open_head.pk).feedback_draft.points[0]
    assert kept["seen_what"] == "white showing"
    whole = chair.post(at, typed(full_boxes(), keep="1"), headers={"hx-request": "true"})
    assert "4 of 4 boxes whole." in whole.content.decode()


def test_while_typing_what_is_not_understood_is_said_and_the_rest_still_counts(
    at: str, chair: Client
) -> None:
    data = {"why": "comb tipped", "next_on": "soon", "keep": "1"}
    said = chair.post(at, data, headers={"hx-request": "true"}).content.decode()
    assert "is not a day" in said
    assert "1 of 4 boxes whole. Open: Seen, Against, Next." in " ".join(said.split())


def test_a_not_yet_with_an_empty_box_set_is_refused(
    faulty: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    draft = draft_head(faulty, assessor, apprentice)
    mark_all(draft, level=1, overall=1)
    for points in ([], [Boxes()], [Boxes(note="Come back."), Boxes(seen_what="gaps")]):
        with pytest.raises(AssessmentError, match="needs feedback"):
            submit(assessment=draft, by=assessor, points=points)
    submit(assessment=draft, by=assessor, points=[Boxes(why="comb tipped")])


def test_fewer_than_three_boxes_are_warned_of_and_three_are_not(
    open_head: Assessment, at: str, chair: Client
) -> None:
    two = replace(full_boxes(), why="", next_on=None)
    page = chair.post(at, typed(two, submit="1")).content.decode()
    assert "Only 2 of 4 boxes are filled (Why, Next open). A sign-off needs 3." in page
    # In sight where the page opens, and behind the button that Enter presses.
    assert page.index('name="stay"') < page.index("Before it stands") < page.index("What was seen")
    open_head.refresh_from_db()
    assert open_head.state == "draft"
    chair.post(at, typed(replace(two, why="comb tipped"), submit="1"))
    open_head.refresh_from_db()
    assert open_head.state == "submitted"


def test_the_same_assessor_fills_missing_boxes_later_as_a_correction(
    version: ModuleVersion, assessor: Person, colleague: Person, apprentice: Person
) -> None:
    draft = draft_head(version, assessor, apprentice)
    mark_all(draft, level=4, overall=4)
    thin = replace(full_boxes(), why="", next_on=None)
    submit(assessment=draft, by=assessor, points=[thin])
    old = draft.feedback.get()
    with pytest.raises(AssessmentError, match="Only the assessor who gave"):
        correct_feedback(feedback=old, by=colleague, boxes=full_boxes(), reason="missing")
    new = correct_feedback(feedback=old, by=assessor, boxes=full_boxes(), reason="missing")
    old.refresh_from_db()
    assert (old.boxes, new.boxes, new.corrects) == (thin, full_boxes(), old)


@pytest.mark.parametrize("word", ["lazy", "talented"])
def test_words_about_the_person_are_warned_of(
    open_head: Assessment, at: str, chair: Client, word: str
) -> None:
    data = typed(replace(full_boxes(), note=f"Quite {word.upper()}, all in all."), submit="1")
    assert f"“{word}” speaks of the person" in chair.post(at, data).content.decode()
    chair.post(at + "?sure=1", data)
    open_head.refresh_from_db()
    assert open_head.state == "submitted"


def test_the_words_about_the_person_are_a_short_list_of_whole_words() -> None:
    assert 10 < len(person_words()) < 40
    assert Boxes(why="the lazy comb").personal_words == ["lazy"]
    assert Boxes(why="lazybones' comb").personal_words == []


def test_names_in_free_text_are_warned_of_but_not_the_writers_own(
    open_head: Assessment, at: str, chair: Client
) -> None:
    told = replace(full_boxes(), seen_what="Tamsin held the comb flat, as Dilys showed")
    page = chair.post(at, typed(told, submit="1")).content.decode()
    assert "“Tamsin” reads like a name" in page
    open_head.refresh_from_db()
    assert open_head.state == "draft"


def test_a_level_that_the_head_does_not_have_is_asked_about(at: str, chair: Client) -> None:
    other = replace(full_boxes(), seen_zone="nape", against_criterion="A2", against_level=1)
    page = chair.post(at, typed(other, submit="1")).content.decode()
    assert "A2 in the nape zone has level 3 on the head, and 1 in the box." in page


def test_phrases_are_offered_from_the_modules_faults_and_those_of_this_head_first(
    open_head: Assessment, faulty: ModuleVersion, assessor: Person, at: str, chair: Client
) -> None:
    where = at_place(zone_centre(Zone.CROWN))
    faults.place_fault(assessment=open_head, by=assessor, common="gap", **where)
    grams = faulty.faults.get(position=2)
    faults.place_fault(assessment=open_head, by=assessor, fault=grams, **where)
    words = [phrase.words for phrase in phrases_for(Assessment.objects.get(pk=open_head.pk))]
    assert words == [
        "Work against gap (crown)",
        "Work against runs out of product (crown): the grams were guessed",
        PATCHY,
    ]
    page = chair.get(at).content.decode()
    assert all(line in page for line in words)


def test_a_button_puts_a_phrase_into_the_box_and_loses_nothing_typed(
    open_head: Assessment, at: str, chair: Client
) -> None:
    data = {"why": "comb tipped", "next_on": "soon", "phrase": "own-1"}
    page = chair.post(at, data).content.decode()
    assert f">\n{PATCHY}</textarea>" in page
    assert "comb tipped" in page
    assert 'value="soon"' in page
    assert "is not a day" in page
    page = chair.post(at, {"next_action": "three panels", "phrase": "own-1"}).content.decode()
    assert f">\nthree panels; {PATCHY}</textarea>" in page
    open_head.refresh_from_db()
    assert open_head.state == "draft"
    assert open_head.feedback_draft.points[0]["next_action"] == f"three panels; {PATCHY}"


@pytest.mark.parametrize(
    "sent",
    [
        PATCHY,
        PATCHY.upper(),
        f"  {PATCHY}. ",
        f"{PATCHY}; Work against runs out of product: the grams were guessed",
    ],
)
def test_a_phrase_is_never_sent_unedited(
    open_head: Assessment, at: str, chair: Client, sent: str
) -> None:
    data = typed(replace(full_boxes(), next_action=sent), submit="1")
    page = chair.post(at + "?sure=1", data).content.decode()
    assert "stands as it was offered. Say what these hands do next" in page
    open_head.refresh_from_db()
    assert open_head.state == "draft"
    edited = typed(replace(full_boxes(), next_action=f"{sent} - comb flat at 3 mm"), submit="1")
    chair.post(at, edited)
    open_head.refresh_from_db()
    assert open_head.state == "submitted"


def test_a_phrase_is_not_sent_unedited_as_a_correction_either(
    faulty: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(faulty, assessor, apprentice)
    as_offered = replace(full_boxes(), next_action=PATCHY)
    with pytest.raises(AssessmentError, match="stands as it was offered"):
        correct_feedback(feedback=head.feedback.get(), by=assessor, boxes=as_offered, reason="x")
    with pytest.raises(AssessmentError, match="stands as it was offered"):
        add_feedback(assessment=head, by=assessor, boxes=as_offered)


def test_a_long_phrase_fits_the_box(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    draft = start_module(academy=academy, by=educator, key="long", title="Long")
    long = (FaultContent("F" + "a" * 159, "C" + "b" * 239),)
    content = replace(module_content("long"), faults=long)
    write_draft(version=draft, content=content, by=educator)
    head = draft_head(publish_version(version=draft, by=educator), assessor, apprentice)
    (phrase,) = phrases_for(head)
    assert len(phrase.words) == LONGEST
    assert unedited(phrase.words, [phrase]) == phrase.words
    assert begun_with("", phrase) == phrase.words


def test_a_day_to_come_and_a_number_belong_to_the_next_step(at: str, chair: Client) -> None:
    early = (timezone.localdate() - timedelta(days=1)).isoformat()
    data = typed(full_boxes(), next_on=early, next_number="0", submit="1")
    page = chair.post(at, data).content.decode()
    assert "This day is past" in page
    assert "Too low" in page


def test_the_correction_page_warns_and_offers_phrases_too(
    faulty: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    head = judged_head(faulty, assessor, apprentice)
    at = url("feedback-correct", token=head.token)
    row = head.feedback.get()
    level = {"against_level": "4", "reason": "the why was missing", "of": str(row.pk)}
    lazy = typed(replace(full_boxes(), why="lazy comb"), **level)
    page = chair.post(at, lazy).content.decode()
    assert "“lazy” speaks of the person" in page
    assert PATCHY in page
    assert head.feedback.count() == 1
    chair.post(at + "?sure=1", lazy)
    assert head.feedback.count() == 2
    said = chair.post(at, lazy, headers={"hx-request": "true"}).content.decode()
    assert "4 of 4 boxes whole." in said
    assert head.feedback.count() == 2
