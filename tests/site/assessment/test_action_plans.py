"""Educators write action plans, and close them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.services.plans import close_action_plan, write_action_plan

if TYPE_CHECKING:
    from academy.assessment.models import ActionPlan
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

TEXT = "Six nape panels at 3 mm, lowest row first."


@pytest.fixture
def write(
    version: ModuleVersion, educator: Person, apprentice: Person
) -> Callable[..., ActionPlan]:
    def plan(by: Person = educator, text: str = TEXT, days: int = 9) -> ActionPlan:
        return write_action_plan(
            academy=version.academy,
            educator=by,
            apprentice=apprentice,
            version=version,
            text=text,
            due_on=timezone.localdate() + timedelta(days=days),
        )

    return plan


def test_a_plan_is_written_and_recorded(
    write: Callable[..., ActionPlan], entries: Callable[[], list[str]]
) -> None:
    entries()
    assert write().text == TEXT
    assert entries() == ["assessment.actionplan.written"]


def test_closing_twice_is_recorded_once(
    write: Callable[..., ActionPlan], educator: Person, entries: Callable[[], list[str]]
) -> None:
    plan = write()
    entries()
    closed = close_action_plan(plan=plan, educator=educator)
    assert close_action_plan(plan=plan, educator=educator).closed_at == closed.closed_at
    assert entries() == ["assessment.actionplan.closed"]


def test_only_educators_write_and_close(write: Callable[..., ActionPlan], assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="Only an educator"):
        write(by=assessor)
    with pytest.raises(AssessmentError, match="Only an educator"):
        close_action_plan(plan=write(), educator=assessor)


def test_an_empty_plan_and_a_past_day_are_refused(write: Callable[..., ActionPlan]) -> None:
    with pytest.raises(AssessmentError, match="Say what"):
        write(text=" ")
    with pytest.raises(AssessmentError, match="past"):
        write(days=-1)
