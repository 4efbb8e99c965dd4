"""The result sheet: read by the apprentice, seen differently, its feedback corrected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Acknowledgement, Assessment, Feedback
from academy.assessment.services.feedback import correct_feedback
from academy.assessment.services.submitting import acknowledge
from academy.people.models import Person, Role
from tests.site.making import full_boxes

if TYPE_CHECKING:
    from django.test import Client


@pytest.fixture
def at(submitted: Assessment, url: Callable[..., str]) -> str:
    return url("result-detail", token=submitted.token)


@pytest.fixture
def phone(apprentice: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(apprentice)


def test_the_sheet_says_the_outcome_with_its_reasons_and_heads(phone: Client, at: str) -> None:
    page = phone.get(at).content.decode()
    assert "The head mark is 100 of 100" in page
    assert page.count("<svg xmlns") == 5
    assert "laid out within reach" in page
    assert "Zone, marks given" in page


def test_reading_it_twice_is_one_row_and_one_entry(
    phone: Client, at: str, entries: Callable[[], list[str]]
) -> None:
    phone.post(at, {})
    phone.post(at, {"disagrees": "on", "note": "The nape was done."})
    row = Acknowledgement.objects.get()
    assert not row.disagrees
    assert entries() == ["assessment.assessment.acknowledged"]


def test_seeing_it_differently_says_what(phone: Client, at: str) -> None:
    page = phone.post(at, {"disagrees": "on", "note": " "}).content.decode()
    assert "Say what you see differently" in page
    assert not Acknowledgement.objects.exists()
    phone.post(at, {"disagrees": "on", "note": "The nape was done."})
    assert "The nape was done." in phone.get(at).content.decode()


def test_only_the_apprentice_reads_it_for_themselves(
    submitted: Assessment, educator: Person, assessor: Person
) -> None:
    for person in (educator, assessor):
        with pytest.raises(AssessmentError, match="Only the apprentice"):
            acknowledge(assessment=submitted, apprentice=person)


def test_another_apprentice_does_not_find_it(
    at: str, make_member: Callable[..., Person], signed_in: Callable[[Person], Client]
) -> None:
    other = signed_in(make_member(Role.APPRENTICE))
    assert other.get(at).status_code == 404
    assert other.post(at, {}).status_code == 404


def test_a_correction_is_a_row_of_its_own_with_one_entry(
    submitted: Assessment,
    chair: Client,
    at: str,
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    boxes = replace(full_boxes(), against_level=4, why="the tray stood too far")
    data = {name: "" if value is None else value for name, value in boxes.as_json().items()}
    correct = url("feedback-correct", token=submitted.token)
    data["of"] = str(submitted.feedback.get().pk)
    assert "Say why, for example" in chair.post(correct, data).content.decode()
    chair.post(correct, {**data, "reason": "the cause was wrong"})
    old, new = Feedback.objects.order_by("pk")
    assert new.corrects == old
    assert entries() == ["assessment.feedback.corrected"]
    page = chair.get(at).content.decode()
    assert "the tray stood too far" in page
    assert "the cause was wrong" in page
    assert "laid out within reach" in page


def test_feedback_is_corrected_once_and_by_its_assessor(
    submitted: Assessment, assessor: Person, colleague: Person
) -> None:
    row = submitted.feedback.get()
    with pytest.raises(AssessmentError, match="who gave this feedback"):
        correct_feedback(feedback=row, by=colleague, boxes=full_boxes(), reason="x")
    correct_feedback(feedback=row, by=assessor, boxes=full_boxes(), reason="x")
    row = Feedback.objects.get(pk=row.pk)
    with pytest.raises(AssessmentError, match="corrected already"):
        correct_feedback(feedback=row, by=assessor, boxes=full_boxes(), reason="y")
