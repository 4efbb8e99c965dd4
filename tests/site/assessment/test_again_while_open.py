"""What a "not yet" asks for stays while a later head is under a second look or a ruling."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.services.ruling import rule
from academy.assessment.services.second import ask_for_second_mark, start_second_mark
from academy.people.services import make_cohort, place_in_cohort
from tests.site.again import WEAK, Chair, coverage_module

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import Assessment
    from academy.people.models import Academy, Person


@pytest.fixture
def at(academy: Academy, educator: Person, apprentice: Person) -> Iterator[Chair]:
    version = coverage_module(academy, educator)
    with time_machine.travel(timezone.now(), tick=False) as clock:
        yield Chair(version, apprentice, clock)


def waiting_head(at: Chair, assessor: Person) -> Assessment:
    """Competent by its first mark, and its assessor asked for a second one."""
    head = at.begin(assessor, "V2")
    ask_for_second_mark(assessment=head, by=assessor, reason="The light changed.")
    return at.mark(head, {})


def test_a_head_under_a_second_look_leaves_the_next_one_bound_by_the_earlier_not_yet(
    at: Chair, assessor: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    waiting_head(at, assessor)
    assert at.after().count == 1
    with pytest.raises(AssessmentError, match="Choose 1"):
        at.begin(assessor)
    assert at.begin(assessor, "V2").reassessment.criteria == ["V1", "V2"]


def test_so_does_one_that_waits_for_a_ruling_until_that_is_given(
    at: Chair, assessor: Person, colleague: Person, verifier: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    head = waiting_head(at, assessor)
    second = at.mark(start_second_mark(first=head, assessor=colleague), WEAK)
    assert at.after().count == 1
    rule(first=head, second=second, verifier=verifier, decision="first", reason="The photo.")
    assert at.after() is None


def test_the_educator_is_told_of_the_plan_to_write_while_a_later_head_is_open(
    at: Chair,
    assessor: Person,
    educator: Person,
    manager: Person,
    signed_in: Callable[[Person], Client],
    colleague: Person,
) -> None:
    day = timezone.localdate() - timedelta(days=5)
    cohort = make_cohort(
        academy=at.version.academy, by=manager, name="Heron", starts_on=day, educators=[educator]
    )
    place_in_cohort(person=at.apprentice, cohort=cohort, by=manager, since=day)
    for _ in range(2):
        at.assessed(assessor, WEAK, *(("V2",) if at.after() else ()))
        at.ready()
    third = at.begin(assessor, "V2")
    ask_for_second_mark(assessment=third, by=assessor, reason="The light changed.")
    at.mark(third, WEAK)
    waiting_head(at, assessor)
    address, first_page = f"/{at.version.academy.slug}/", signed_in(educator)
    assert "action plan to be written" not in first_page.get(address).content.decode()
    at.mark(start_second_mark(first=third, assessor=colleague), WEAK)
    assert "action plan to be written" in first_page.get(address).content.decode()
