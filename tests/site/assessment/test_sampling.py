"""Batches of sign-offs: what is drawn, what is looked at in any case, and when one closes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone
from hypothesis import given, strategies as st

from academy.assessment.errors import AssessmentError
from academy.assessment.models import SignOff
from academy.assessment.sample_page import SamplePage
from academy.assessment.services.sampling import (
    Batch,
    Promise,
    close_sample_plan,
    draw,
    open_sample_plan,
    still_open,
)
from academy.assessment.services.signing import verify
from academy.people.models import Role
from tests.site.making import signed_off

if TYPE_CHECKING:
    from academy.assessment.models import SamplePlan
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

PROMISE = Promise(rate=Decimal("0.5"), confidence=Decimal("0.8"))


def batch(**fields: object) -> Batch:
    today = timezone.localdate()
    return Batch("This month", today - timedelta(days=30), today, **fields)  # type: ignore[arg-type]


@pytest.fixture
def four(
    version: ModuleVersion, assessor: Person, make_member: Callable[..., Person]
) -> list[SignOff]:
    return [signed_off(version, assessor, make_member(Role.APPRENTICE)) for _ in range(4)]


@pytest.fixture
def plan(four: list[SignOff], verifier: Person) -> SamplePlan:
    return open_sample_plan(
        academy=four[0].academy, by=verifier, batch=batch(), promise=PROMISE, seed=7
    )


@given(st.integers(0, 10_000), st.lists(st.sets(st.integers(0, 4), min_size=1), max_size=20))
def test_everybody_appears_in_what_is_drawn_and_added(seed: int, groups: list[set[int]]) -> None:
    size = len(groups) // 3
    drawn, added = draw(seed, groups, size)
    assert len(drawn) == size
    assert not drawn & added
    assert set().union(*groups) == set().union(*(groups[place] for place in drawn | added))
    assert draw(seed, groups, size) == (drawn, added)


def test_the_promised_number_is_drawn_and_the_rest_kept(
    four: list[SignOff], plan: SamplePlan
) -> None:
    # 4 decisions, 2 of them wrong: two drawn leave 1 chance in 6 to see none (exact count).
    assert plan.decisions.filter(why="random").count() == 2
    assert plan.decisions.filter(why="").count() == 2


def test_the_promise_is_stated_for_what_is_drawn_at_random_alone(
    four: list[SignOff],
    version: ModuleVersion,
    verifier: Person,
    make_member: Callable[..., Person],
) -> None:
    """Of six, two are looked at in any case; the promise speaks of the other four."""
    new = make_member(Role.ASSESSOR)
    for _ in range(2):
        signed_off(version, new, make_member(Role.APPRENTICE))
    plan = open_sample_plan(
        academy=version.academy,
        by=verifier,
        batch=batch(),
        promise=PROMISE,
        seed=7,
        new_assessors=[new],
    )
    assert plan.decisions.count() == 6
    assert plan.decisions.filter(why="new_assessor").count() == 2
    assert plan.population == 4
    assert "If 2 of 4 drawn at random are all right" in SamplePage(plan).promise


def test_a_sign_off_lies_in_one_batch_only(plan: SamplePlan, verifier: Person) -> None:
    with pytest.raises(AssessmentError, match="outside a batch"):
        open_sample_plan(academy=plan.academy, by=verifier, batch=batch(), promise=PROMISE, seed=8)


def test_a_new_assessors_first_are_looked_at_in_any_case(
    four: list[SignOff], verifier: Person, assessor: Person
) -> None:
    plan = open_sample_plan(
        academy=four[0].academy,
        by=verifier,
        batch=batch(),
        promise=PROMISE,
        seed=7,
        new_assessors=[assessor],
    )
    assert plan.decisions.filter(why="new_assessor").count() == 4


def test_a_batch_closes_once_all_is_looked_at(
    four: list[SignOff], plan: SamplePlan, verifier: Person
) -> None:
    with pytest.raises(AssessmentError, match="2 still to be looked at"):
        close_sample_plan(plan=plan, by=verifier)
    for row in plan.decisions.exclude(why=""):
        verify(sign_off=row.sign_off, verifier=verifier, result="upheld")
    assert still_open(plan) == 0
    assert close_sample_plan(plan=plan, by=verifier).closed_at is not None
    standing = SignOff.objects.standing().filter(pk__in=[row.pk for row in four])
    assert [row.verified for row in standing] == [True] * 4


def test_an_open_action_keeps_a_batch_open(plan: SamplePlan, verifier: Person) -> None:
    for row in plan.decisions.exclude(why=""):
        verify(
            sign_off=row.sign_off,
            verifier=verifier,
            result="action_needed",
            text="The date is missing.",
            due_on=timezone.localdate(),
        )
    assert still_open(plan) == 2


def test_only_verifiers_draw_and_close(
    four: list[SignOff], plan: SamplePlan, assessor: Person
) -> None:
    with pytest.raises(AssessmentError, match="Only a verifier"):
        open_sample_plan(academy=plan.academy, by=assessor, batch=batch(), promise=PROMISE, seed=1)
    with pytest.raises(AssessmentError, match="Only a verifier"):
        close_sample_plan(plan=plan, by=assessor)


def test_a_promise_that_makes_no_sense_is_refused(four: list[SignOff], verifier: Person) -> None:
    with pytest.raises(AssessmentError, match="between 0 and 1"):
        open_sample_plan(
            academy=four[0].academy,
            by=verifier,
            batch=batch(),
            promise=Promise(Decimal(0), Decimal("0.9")),
            seed=1,
        )
