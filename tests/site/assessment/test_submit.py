"""Submitting: what is missing is named, the outcome is computed once and stands."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.utils import timezone

from academy.assessment.boxes import Boxes
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Booking, Outcome
from academy.assessment.services import booking as bookings, scoring
from academy.assessment.services.submitting import submit
from academy.audit.models import Entry
from academy.craft.judging.stored import recomputed
from tests.site.making import draft_head, full_boxes, judged_head

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


@pytest.fixture
def marked(draft: Assessment, assessor: Person) -> Assessment:
    """Everything at 3, rated 4; not submitted."""
    mark_all(draft, assessor, 3)
    return draft


def mark_all(draft: Assessment, by: Person, level: int, rating: int = 4) -> None:
    for criterion in draft.module_version.criteria.all():
        zones = draft.module_version.judged_zones if criterion.scope == "zones" else [""]
        for zone in zones:
            scoring.set_level(assessment=draft, by=by, criterion=criterion, zone=zone, level=level)
    scoring.set_overall(assessment=draft, by=by, rating=rating)


def typed(boxes: Boxes) -> dict[str, object]:
    """The boxes as a browser sends them."""
    return {name: "" if value is None else value for name, value in boxes.as_json().items()}


def test_submitting_stands_with_one_entry(
    marked: Assessment, chair: Client, url: Callable[..., str], entries: Callable[[], list[str]]
) -> None:
    at = url("assessment-feedback", token=marked.token)
    answer = chair.post(at, {**typed(full_boxes()), "submit": "1"})
    assert answer["Location"] == url("result-detail", token=marked.token)
    marked.refresh_from_db()
    assert marked.state == "submitted"
    assert marked.outcome.by_marks == "competent"
    assert marked.feedback.get().why == "laid out within reach"
    assert entries() == ["assessment.assessment.submitted"]


def test_a_double_submit_gives_one_outcome(
    marked: Assessment, assessor: Person, entries: Callable[[], list[str]]
) -> None:
    stale = Assessment.objects.get(pk=marked.pk)
    first = submit(assessment=marked, by=assessor, points=[full_boxes()])
    second = submit(assessment=stale, by=assessor, points=[full_boxes()])
    assert first == second
    assert Outcome.objects.count() == 1
    assert marked.feedback.count() == 1
    assert entries() == ["assessment.assessment.submitted"]


@pytest.mark.parametrize(("level", "by_marks"), [(3, "competent"), (2, "not_yet")])
def test_the_outcome_kept_is_what_judging_computes_from_the_row(
    version: ModuleVersion, assessor: Person, apprentice: Person, level: int, by_marks: str
) -> None:
    row = judged_head(version, assessor, apprentice, level=level).outcome
    assert row.by_marks == by_marks
    assert recomputed(row.figures) == row.figures
    assert row.figures["outcome"]["by_marks"] == row.by_marks


def test_what_is_missing_is_named_and_nothing_is_written(
    draft: Assessment, assessor: Person, entries: Callable[[], list[str]]
) -> None:
    with pytest.raises(AssessmentError, match="coverage"):
        submit(assessment=draft, by=assessor, points=[full_boxes()])
    draft.refresh_from_db()
    assert draft.state == "draft"
    assert not draft.feedback.exists()
    assert entries() == []


def test_the_rating_may_not_be_missing(marked: Assessment, assessor: Person) -> None:
    Assessment.objects.filter(pk=marked.pk).update(overall=None)
    with pytest.raises(AssessmentError, match="rating"):
        submit(assessment=marked, by=assessor, points=[full_boxes()])


def test_a_not_yet_without_any_feedback_is_refused(
    draft: Assessment, assessor: Person, chair: Client, url: Callable[..., str]
) -> None:
    mark_all(draft, assessor, 2, rating=2)
    at = url("assessment-feedback", token=draft.token) + "?sure=1"
    page = chair.post(at, {"submit": "1", "note": "Come back."}).content.decode()
    assert "needs feedback" in page
    assert "Come back." in page
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_few_boxes_and_words_about_the_person_are_asked_about_once(
    marked: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    at = url("assessment-feedback", token=marked.token)
    data = {"seen_zone": "crown", "seen_what": "lazy partings", "submit": "1"}
    page = chair.post(at, data).content.decode()
    assert "Only 1 of 4 boxes" in page
    assert "“lazy” speaks of the person" in page
    marked.refresh_from_db()
    assert marked.state == "draft"
    chair.post(at + "?sure=1", data)
    marked.refresh_from_db()
    assert marked.state == "submitted"


def test_half_filled_boxes_are_kept_for_later(
    draft: Assessment, chair: Client, url: Callable[..., str], entries: Callable[[], list[str]]
) -> None:
    at = url("assessment-feedback", token=draft.token)
    page = chair.post(at, {"why": "comb lifted", "keep": "1"}, follow=True).content.decode()
    assert "comb lifted" in page
    assert entries() == []


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("seen_zone", "fringe", "not on the list"),
        ("against_criterion", "Z9", "not on the list"),
        ("against_level", "5", "not on the list"),
        ("next_number", "0", "Too low"),
        ("next_number", "many", "whole number"),
        ("next_on", "soon", "is not a day"),
        ("next_on", "2020-01-01", "This day is past"),
        ("why", "w" * 401, "Too long"),
    ],
)
def test_boxes_that_cannot_be_are_refused_and_stay_typed(
    draft: Assessment,
    chair: Client,
    url: Callable[..., str],
    field: str,
    value: str,
    sentence: str,
) -> None:
    at = url("assessment-feedback", token=draft.token)
    page = chair.post(at, {field: value, "seen_what": "two gaps", "keep": "1"}).content.decode()
    assert sentence in page
    assert "two gaps" in page
    assert not hasattr(Assessment.objects.get(pk=draft.pk), "feedback_draft")


def test_what_cannot_be_submitted_says_so_and_keeps_the_long_text(
    marked: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    at = url("assessment-feedback", token=marked.token)
    data = {**typed(full_boxes()), "why": "w" * 401, "next_on": "2020-01-01"}
    page = chair.post(at, {**data, "submit": "1"}).content.decode()
    assert "Two lines need you before this can be submitted" in page
    assert "This day is past" in page
    assert "w" * 401 in page
    assert "maxlength" not in page
    assert "before this can be kept" in chair.post(at, {**data, "keep": "1"}).content.decode()
    marked.refresh_from_db()
    assert marked.state == "draft"


def test_a_correction_may_leave_a_day_that_is_over(
    submitted: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    given = submitted.feedback.get()
    at = url("feedback-correct", token=submitted.token)
    data = {**typed(full_boxes(given.next_on)), "against_level": 4, "why": "comb held level"}
    data["of"] = str(given.pk)
    data["reason"] = "said better"
    with time_machine.travel(timezone.now() + timedelta(days=30)):
        chair.force_login(submitted.assessor)
        chair.post(at, data)
        early = (timezone.localdate() - timedelta(days=1)).isoformat()
        page = chair.post(at, {**data, "next_on": early}).content.decode()
    assert submitted.feedback.count() == 2
    assert "This day is past" in page


def test_a_stop_event_is_submitted_without_levels(draft: Assessment, assessor: Person) -> None:
    scoring.stop_head(assessment=draft, by=assessor, event="no-gloves")
    row = submit(assessment=draft, by=assessor, points=[full_boxes()])
    assert row.by_marks == "not_yet"
    assert row.head_mark is None
    assert "stop" in row.reasons[0]["sentence"].lower()


def test_a_head_near_the_line_needs_a_second_assessor(draft: Assessment, assessor: Person) -> None:
    criteria = {criterion.code: criterion for criterion in draft.module_version.criteria.all()}
    levels = [("A1", "", 4), ("A2", "crown", 2), ("A2", "nape", 2)]
    for code, zone, level in levels:
        scoring.set_level(
            assessment=draft, by=assessor, criterion=criteria[code], zone=zone, level=level
        )
    scoring.set_overall(assessment=draft, by=assessor, rating=3)
    row = submit(assessment=draft, by=assessor, points=[full_boxes()])
    assert row.second_needed
    assert row.causes == ["near_line"]


def test_the_booking_is_done_with_its_head(
    version: ModuleVersion, assessor: Person, apprentice: Person, educator: Person
) -> None:
    booked = bookings.ask_for_assessment(
        academy=version.academy, apprentice=apprentice, version=version
    )
    bookings.book(
        booking=booked,
        by=educator,
        assessor=assessor,
        at=timezone.now() + timedelta(days=1),
        place="chair 4",
    )
    draft = scoring.start_assessment(
        academy=version.academy,
        assessor=assessor,
        apprentice=apprentice,
        version=version,
        booking=booked,
    )
    mark_all(draft, assessor, 3)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    assert Booking.objects.get(pk=booked.pk).state == Booking.State.DONE


def test_another_assessor_cannot_submit_the_draft(marked: Assessment, colleague: Person) -> None:
    with pytest.raises(AssessmentError, match="who began this draft"):
        submit(assessment=marked, by=colleague, points=[full_boxes()])


def test_an_empty_point_of_feedback_is_left_away(marked: Assessment, assessor: Person) -> None:
    submit(assessment=marked, by=assessor, points=[Boxes(), replace(full_boxes(), note="Calm.")])
    assert marked.feedback.get().note == "Calm."


def test_the_draft_page_of_a_submitted_head_leads_to_its_result(
    submitted: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    for name in ("assessment-score", "assessment-feedback"):
        answer = chair.get(url(name, token=submitted.token))
        assert answer["Location"] == url("result-detail", token=submitted.token)


def test_a_new_head_may_follow_a_submitted_one(
    version: ModuleVersion, submitted: Assessment, assessor: Person, apprentice: Person
) -> None:
    assert draft_head(version, assessor, apprentice) != submitted


def test_the_entry_ties_the_figures_of_the_outcome_to_the_chain(
    marked: Assessment, assessor: Person
) -> None:
    row = submit(assessment=marked, by=assessor, points=[full_boxes()])
    entry = Entry.objects.get(action="assessment.assessment.submitted")
    told = json.loads(bytes(entry.canonical))
    kept = json.dumps(row.figures, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert sha256(kept.encode()).hexdigest() in json.dumps(told)
    assert '"photos": []' in json.dumps(told)
