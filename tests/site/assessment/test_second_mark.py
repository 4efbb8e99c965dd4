"""A second mark is blind, asked for, and comes from somebody else."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from academy.assessment.errors import AssessmentError
from academy.assessment.services.scoring import set_level, set_overall
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.submitting import submit
from academy.craft.judging.marking import SecondCause
from academy.people.models import Role
from tests.site.making import draft_head, full_boxes

if TYPE_CHECKING:
    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


@pytest.fixture
def sampled(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """A submitted head that the sample drew."""
    head = draft_head(version, assessor, apprentice)
    for criterion in version.criteria.all():
        for zone in version.judged_zones if criterion.scope == "zones" else [""]:
            set_level(assessment=head, by=assessor, criterion=criterion, zone=zone, level=4)
    set_overall(assessment=head, by=assessor, rating=4)
    submit(assessment=head, by=assessor, points=[full_boxes()], asked_for=[SecondCause.SAMPLE])
    return head


def test_a_colleague_begins_without_any_level(
    sampled: Assessment, colleague: Person, entries: Callable[[], list[str]]
) -> None:
    entries()
    second = start_second_mark(first=sampled, assessor=colleague)
    assert (second.kind, second.second_of, second.marks.count()) == ("second", sampled, 0)
    assert entries() == ["assessment.assessment.second_started"]


def test_beginning_again_gives_the_same_draft(sampled: Assessment, colleague: Person) -> None:
    second = start_second_mark(first=sampled, assessor=colleague)
    assert start_second_mark(first=sampled, assessor=colleague) == second


def test_the_first_assessor_is_refused(sampled: Assessment, assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="somebody else"):
        start_second_mark(first=sampled, assessor=assessor)


def test_a_third_assessor_is_refused(
    sampled: Assessment, colleague: Person, make_member: Callable[..., Person]
) -> None:
    start_second_mark(first=sampled, assessor=colleague)
    with pytest.raises(AssessmentError, match="Somebody else gives"):
        start_second_mark(first=sampled, assessor=make_member(Role.ASSESSOR))


def test_a_head_that_asks_for_none_gets_none(submitted: Assessment, colleague: Person) -> None:
    with pytest.raises(AssessmentError, match="No second mark is asked for"):
        start_second_mark(first=submitted, assessor=colleague)


def test_a_draft_has_no_second_mark(draft: Assessment, colleague: Person) -> None:
    with pytest.raises(AssessmentError, match="submitted"):
        start_second_mark(first=draft, assessor=colleague)


def test_who_does_not_assess_here_is_refused(sampled: Assessment, educator: Person) -> None:
    with pytest.raises(AssessmentError, match="Only an assessor"):
        start_second_mark(first=sampled, assessor=educator)
