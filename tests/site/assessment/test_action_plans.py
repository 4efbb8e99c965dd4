"""Educators write action plans, and close them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.db import Error, connection, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import ActionPlan
from academy.assessment.services.plans import close_action_plan, write_action_plan
from academy.people.models import Person, Role

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion

CAME = "Twelve panels laid, all of them level."
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
    closed = close_action_plan(plan=plan, educator=educator, came_of=CAME)
    again = close_action_plan(plan=plan, educator=educator, came_of="Something else.")
    assert (again.pk, again.came_of) == (closed.pk, CAME)
    assert entries() == ["assessment.actionplan.closed"]


def test_only_educators_write_and_close(write: Callable[..., ActionPlan], assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="Only an educator"):
        write(by=assessor)
    with pytest.raises(AssessmentError, match="Only an educator"):
        close_action_plan(plan=write(), educator=assessor, came_of=CAME)


def test_an_empty_plan_and_a_past_day_are_refused(write: Callable[..., ActionPlan]) -> None:
    with pytest.raises(AssessmentError, match="Say what"):
        write(text=" ")
    with pytest.raises(AssessmentError, match="past"):
        write(days=-1)


def test_closing_says_what_came_of_it(write: Callable[..., ActionPlan], educator: Person) -> None:
    with pytest.raises(AssessmentError, match="Say what came of it"):
        close_action_plan(plan=write(), educator=educator, came_of=" ")


def test_a_plan_stands_as_it_was_written_and_is_closed_once(
    write: Callable[..., ActionPlan], educator: Person
) -> None:
    plan = write()
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE assessment_actionplan SET text = 'Nothing.'")
    close_action_plan(plan=plan, educator=educator, came_of=CAME)
    for deed in (
        "UPDATE assessment_actionplan SET closed_at = NULL",
        "DELETE FROM assessment_planclosing",
    ):
        with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(deed)


def test_plans_are_written_read_and_closed_on_their_pages(
    version: ModuleVersion,
    educator: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    browser = signed_in(educator)
    day = timezone.localdate() + timedelta(days=9)
    data = {
        "apprentice": apprentice.token,
        "module": version.module.token,
        "text": TEXT,
        "due_on": f"{day:%d %b %Y}",
    }
    page = browser.post(url("plan-new"), data, follow=True)
    plan = ActionPlan.objects.get()
    assert "wrote the action plan of Tamsin Orle" in page.content.decode()
    own = signed_in(apprentice).get(url("plan-detail", token=plan.token)).content.decode()
    assert TEXT in own
    assert "Close the plan" not in own
    closed = browser.post(url("plan-close", token=plan.token), {"came_of": CAME}, follow=True)
    assert CAME in closed.content.decode()
    assert "closed" in browser.get(url("plan-list")).content.decode()


def test_an_apprentice_reads_no_plan_of_another(
    write: Callable[..., ActionPlan],
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    plan = write()
    other = signed_in(make_member(Role.APPRENTICE))
    assert other.get(url("plan-detail", token=plan.token)).status_code == 404
    assert "No action plan is written." in other.get(url("plan-list")).content.decode()
