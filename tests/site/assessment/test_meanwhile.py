"""What a page had read is read again under the lock: something may have happened meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Appeal, Assessment, SecondAsked, SecondAssignment
from academy.assessment.services.appealing import appeal
from academy.assessment.services.scoring import discard_draft
from academy.assessment.services.second import (
    ask_for_second_mark,
    assign_second_mark,
    start_second_mark,
    take_back_wish,
)
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import withdraw
from tests.site.making import full_boxes, judged_head, mark_all
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


def as_read(head: Assessment) -> Assessment:
    """As another's page has it in hand, with all that it looked up."""
    read = Assessment.objects.for_result().get(pk=head.pk)
    assert not read.withdrawn
    return read


def test_no_second_mark_is_given_away_or_begun_once_the_head_was_withdrawn(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    educator: Person,
    apprentice: Person,
) -> None:
    head = judged_head(version, assessor, apprentice, drawn=True)
    read = as_read(head)
    withdraw(assessment=head, by=assessor, reason="Another's levels.")
    with pytest.raises(AssessmentError, match="was withdrawn"):
        start_second_mark(first=read, assessor=colleague)
    with pytest.raises(AssessmentError, match="was withdrawn"):
        assign_second_mark(first=read, assessor=colleague, by=educator)
    assert not SecondAssignment.objects.exists()
    assert not Assessment.objects.filter(second_of=head).exists()


def test_no_appeal_is_made_once_the_head_was_withdrawn(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(version, assessor, apprentice, level=1, overall=1)
    read = as_read(head)
    withdraw(assessment=head, by=assessor, reason="Another's levels.")
    with pytest.raises(AssessmentError, match="that stands"):
        appeal(assessment=read, apprentice=apprentice, text="The nape was done.")
    with refused_by_the_database():
        Appeal.objects.create(
            academy=head.academy,
            assessment=head,
            apprentice=apprentice,
            text="The nape was done.",
            answer_by=head.started_at.date(),
        )
    assert not SecondAsked.objects.exists()


def test_no_wish_for_a_second_mark_comes_or_goes_once_the_head_was_submitted(
    draft: Assessment, assessor: Person
) -> None:
    read = Assessment.objects.get(pk=draft.pk)
    mark_all(draft, level=4, overall=4)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    with pytest.raises(AssessmentError, match="before it is submitted"):
        ask_for_second_mark(assessment=read, by=assessor, reason="The light changed.")
    with pytest.raises(AssessmentError, match="before submitting"):
        take_back_wish(assessment=read, by=assessor)
    with refused_by_the_database():
        SecondAsked.objects.create(
            assessment=draft, cause="request", by=assessor, reason="The light changed."
        )
    assert draft.outcome.causes == []


def test_a_draft_that_was_discarded_meanwhile_says_so(draft: Assessment, assessor: Person) -> None:
    read = Assessment.objects.get(pk=draft.pk)
    discard_draft(assessment=draft, by=assessor)
    with pytest.raises(AssessmentError, match="discarded meanwhile"):
        ask_for_second_mark(assessment=read, by=assessor, reason="The light changed.")
