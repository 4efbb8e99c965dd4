"""Several points of feedback on one head: typed, added, taken away, submitted, corrected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from importlib import import_module
from typing import TYPE_CHECKING, Any

import pytest
from django.apps import apps

from academy.assessment.boxes import MOST_POINTS, Boxes, fullest, part_name
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Feedback, FeedbackDraft
from academy.assessment.points import counting
from academy.assessment.services import faults
from academy.assessment.services.feedback import add_feedback, correct_points
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from tests.site.assessment.places import at_place
from tests.site.making import full_boxes, mark_all

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

CROWN = Boxes(seen_zone="crown", seen_what="second slice: too thick", why="comb tipped")
HX = {"hx-request": "true"}


def typed(*points: Boxes, **more: Any) -> dict[str, Any]:
    """The points as a browser sends them."""
    sent: dict[str, Any] = {"points": len(points)}
    for number, boxes in enumerate(points, 1):
        for part, value in boxes.as_json().items():
            sent[part_name(number, part)] = "" if value is None else value
    return {**sent, **more}


@pytest.fixture
def whole() -> Boxes:
    """Four boxes, with the level that every head here has."""
    return replace(full_boxes(), against_level=3)


@pytest.fixture
def open_head(draft: Assessment) -> Assessment:
    mark_all(draft, level=3, overall=4)
    return draft


@pytest.fixture
def at(open_head: Assessment, url: Callable[..., str]) -> str:
    return url("assessment-feedback", token=open_head.token)


@pytest.fixture
def correct(submitted: Assessment, url: Callable[..., str]) -> str:
    return url("feedback-correct", token=submitted.token)


def kept(head: Assessment) -> list[Boxes]:
    draft = Assessment.objects.get(pk=head.pk).feedback_draft
    return [Boxes.from_json(point) for point in draft.points]


def test_one_point_is_shown_at_first_and_none_can_be_taken_away(at: str, chair: Client) -> None:
    page = chair.get(at).content.decode()
    assert 'name="points" value="1"' in page
    assert "Add a point" in page
    assert "Take point" not in page
    assert "0 of 4 boxes whole. Open: Seen, Against, Why, Next." in page


def test_a_point_is_added_by_a_button_and_what_was_typed_stays(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    page = chair.post(at, typed(whole, next_on="soon", add="1")).content.decode()
    assert 'name="points" value="2"' in page
    assert 'value="soon"' in page
    assert "Point 1, By which day: This is not a day" in page
    assert "laid out within reach" in page
    assert 'id="id_point2-why"' in page
    page = chair.post(at, typed(whole, add="1")).content.decode()
    assert "Take point 2 away" in page
    assert kept(open_head) == [whole, Boxes()]
    assert 'name="points" value="2"' in chair.get(at).content.decode()


def test_a_point_taken_away_lets_the_others_move_up(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    third = Boxes(note="Bring the clips.")
    page = chair.post(at, typed(CROWN, whole, third, drop="1")).content.decode()
    assert kept(open_head) == [whole, third]
    assert 'name="points" value="2"' in page
    chair.post(at, {**typed(whole, third), "point2-drop": "1"})
    assert kept(open_head) == [whole]
    chair.post(at, typed(whole, drop="1"))
    assert kept(open_head) == [Boxes()]


def test_more_points_than_fit_are_not_taken(at: str, chair: Client, open_head: Assessment) -> None:
    many = [Boxes(note=f"{number}") for number in range(1, MOST_POINTS + 1)]
    page = chair.post(at, typed(*many, add="1")).content.decode()
    assert f"{MOST_POINTS} points are as many as fit here" in page
    assert kept(open_head) == many
    for odd in ("9000", "-1", "x", ""):
        assert chair.post(at, typed(CROWN) | {"points": odd}).status_code == 200


def test_the_boxes_of_each_point_are_counted_while_typing(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    said = chair.post(at, typed(whole, CROWN, keep="1"), headers=HX).content.decode()
    assert "Point 1: 4 of 4 boxes whole." in said
    assert "Point 2: 2 of 4 boxes whole. Open: Against, Next." in said
    assert 'id="count-2" hx-swap-oob="true">2 of 4 boxes<' in said
    assert 'id="box-next-2" hx-swap-oob="true"' in said
    assert kept(open_head) == [whole, CROWN]
    wrong = typed(whole, CROWN, keep="1") | {"point2-next_number": "many"}
    said = chair.post(at, wrong, headers=HX).content.decode()
    assert "Point 2, How many: Give a whole number" in said


def test_several_points_are_submitted_and_empty_ones_left_away(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    sent = typed(CROWN, Boxes(), whole, submit="1")
    page = chair.post(at, sent).content.decode()
    assert "Point 1: only 2 of 4 boxes are filled (Against, Next open)." in page
    assert not Feedback.objects.exists()
    chair.post(f"{at}?sure=1", sent)
    assert [row.boxes for row in Feedback.objects.order_by("pk")] == [CROWN, whole]
    open_head.refresh_from_db()
    assert open_head.state == "submitted"


def test_the_fullest_point_is_what_a_sign_off_looks_at(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    assert fullest([CROWN, whole]) == whole
    assert fullest([]) == Boxes()
    thin = replace(whole, next_on=None, why="")
    page = chair.post(at, typed(CROWN, thin, submit="1")).content.decode()
    assert "Only 2 of 4 boxes are filled" in page
    assert "A sign-off needs 3 in one point." in page
    open_head.refresh_from_db()
    assert open_head.state == "draft"


def test_every_point_is_looked_at_for_words_names_and_levels(
    at: str, chair: Client, whole: Boxes
) -> None:
    second = Boxes(
        seen_zone="nape",
        seen_what="a lazy parting",
        against_criterion="A2",
        against_level=1,
        why="Tamsin hurried",
    )
    page = chair.post(at, typed(whole, second, submit="1")).content.decode()
    assert "“lazy” speaks of the person" in page
    assert "“Tamsin” reads like a name" in page
    assert "A2 in the nape zone has level 3 on the head, and 1 in the box." in page


def test_a_phrase_goes_into_its_own_point_and_is_never_sent_unedited(
    at: str, chair: Client, open_head: Assessment, whole: Boxes
) -> None:
    where = at_place(zone_centre(Zone.CROWN))
    faults.place_fault(assessment=open_head, by=open_head.assessor, common="gap", **where)
    pressed = typed(whole, CROWN) | {"point2-phrase": "common-gap"}
    chair.post(at, pressed)
    assert [point.next_action for point in kept(open_head)] == [
        whole.next_action,
        "Work against gap (crown)",
    ]
    page = chair.post(f"{at}?sure=1", typed(*kept(open_head), submit="1")).content.decode()
    assert "Point 2, What to do next: “Work against gap (crown)” stands as it was offered" in page
    assert 'href="#id_point2-next_action"' in page
    open_head.refresh_from_db()
    assert open_head.state == "draft"


def test_enter_in_a_field_keeps_and_does_no_more(
    open_head: Assessment, at: str, chair: Client, whole: Boxes
) -> None:
    page = chair.get(at).content.decode()
    form = page[page.index('id="boxes"') :]
    assert form.index('name="stay"') < form.index('name="phrase"' if "phrase" in form else "add")
    chair.post(at, typed(whole, stay="1"))
    assert kept(open_head) == [whole]
    open_head.refresh_from_db()
    assert open_head.state == "draft"


def test_a_correction_changes_only_the_points_that_differ(
    submitted: Assessment, assessor: Person, chair: Client, correct: str, url: Callable[..., str]
) -> None:
    first = submitted.feedback.get()
    second = add_feedback(assessment=submitted, by=assessor, boxes=CROWN)
    page = chair.get(correct).content.decode()
    assert "Take point" not in page
    ids = {"of": str(first.pk), "point2-of": str(second.pk)}
    assert all(f'value="{pk}"' in page for pk in ids.values())
    mended = replace(first.boxes, why="the tray stood too far", against_level=4)
    added = Boxes(note="Bring the clips.")
    data = typed(mended, CROWN, added, reason="the cause was wrong") | ids
    chair.post(f"{correct}?sure=1", data)
    rows = list(submitted.feedback.order_by("pk"))
    assert [(row.boxes, row.corrects) for row in rows[2:]] == [(mended, first), (added, None)]
    assert [row.boxes for row in counting(rows)] == [mended, CROWN, added]
    sheet = chair.get(url("result-detail", token=submitted.token)).content.decode()
    assert sheet.index("the tray stood too far") < sheet.index("second slice: too thick")


def test_adding_a_point_needs_no_reason_and_changing_one_does(
    submitted: Assessment, chair: Client, correct: str
) -> None:
    row = submitted.feedback.get()
    of = {"of": str(row.pk)}
    chair.post(f"{correct}?sure=1", typed(row.boxes, CROWN) | of)
    assert submitted.feedback.count() == 2
    other = replace(row.boxes, why="the tray stood too far")
    page = chair.post(f"{correct}?sure=1", typed(other) | of).content.decode()
    assert "Say why, for example: the date was missing." in page
    assert submitted.feedback.count() == 2


def test_a_given_point_is_neither_taken_away_nor_emptied(
    submitted: Assessment, chair: Client, correct: str
) -> None:
    row = submitted.feedback.get()
    of = {"of": str(row.pk), "reason": "out"}
    page = chair.post(f"{correct}?sure=1", typed(row.boxes, drop="1") | of).content.decode()
    assert "Nothing differs from what was given" in page
    page = chair.post(f"{correct}?sure=1", typed(Boxes()) | of).content.decode()
    assert "Fill at least one box." in page
    assert submitted.feedback.get() == row


def test_a_correction_is_all_or_nothing_and_of_this_head_only(
    submitted: Assessment, assessor: Person, colleague: Person, chair: Client, correct: str
) -> None:
    row = submitted.feedback.get()
    other = replace(row.boxes, why="the tray stood too far")
    correct_points(assessment=submitted, by=assessor, points=[(row, other)], reason="wrong cause")
    with pytest.raises(AssessmentError, match="was corrected already"):
        correct_points(
            assessment=submitted,
            by=assessor,
            points=[(None, CROWN), (row, replace(other, note="And so on."))],
            reason="once more",
        )
    assert submitted.feedback.count() == 2
    with pytest.raises(AssessmentError, match="Only the assessor"):
        correct_points(assessment=submitted, by=colleague, points=[(None, CROWN)], reason="")
    page = chair.post(correct, typed(other, of="123456", reason="x")).content.decode()
    assert "This feedback is not of this head" in page
    assert submitted.feedback.count() == 2


def test_a_draft_from_before_points_becomes_a_list_of_one(
    open_head: Assessment, whole: Boxes
) -> None:
    moved = import_module("academy.assessment.migrations.0010_points_photos_appeals")
    FeedbackDraft.objects.create(assessment=open_head, points=whole.as_json())
    moved.one_point_each(apps, None)
    assert kept(open_head) == [whole]
    moved.first_point_only(apps, None)
    assert FeedbackDraft.objects.get().points == whole.as_json()
