"""Nobody decides on their own practice: confirming sessions, setting tasks, taking them back.

By constraint, by service and by URL; docs/assessment.md lists every step with its tests.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.curriculum.content import PracticeUnit
from academy.people.models import Academy, Person, Role
from academy.practice.errors import PracticeError
from academy.practice.models import PracticeSession, SessionConfirmation, Task, TaskWithdrawal
from academy.practice.services import Wanted, confirm_session, set_tasks, withdraw_task
from tests.site.making import publish as publish_small
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion


def url(name: str, **kwargs: object) -> str:
    return reverse(f"practice:{name}", kwargs={"academy": "larkmere", **kwargs})


def wanted() -> Wanted:
    return Wanted(count=3, unit=PracticeUnit.HEADS, due_on=timezone.localdate() + timedelta(days=9))


@pytest.fixture
def module(academy: Academy, educator: Person) -> ModuleVersion:
    return publish_small(academy, educator, "coverage", zones=True)


@pytest.fixture
def learning_educator(educator: Person, also: Callable[..., None]) -> Person:
    """An educator who is an apprentice too."""
    also(educator, Role.APPRENTICE)
    return educator


@pytest.fixture
def own_task(
    module: ModuleVersion, learning_educator: Person, make_member: Callable[..., Person]
) -> Task:
    """Set by a colleague for the educator who is an apprentice too."""
    (task,) = set_tasks(
        academy=module.academy,
        educator=make_member(Role.EDUCATOR),
        module=module.module,
        apprentices=[learning_educator],
        wanted=wanted(),
    )
    return task


def test_the_database_lets_nobody_confirm_but_the_supervisor_named(
    log: Callable[..., PracticeSession],
    apprentice: Person,
    educator: Person,
    assessor: Person,
) -> None:
    session = log(supervisor=educator)
    for person in (apprentice, assessor):
        with refused_by_the_database():
            SessionConfirmation.objects.create(session=session, supervisor=person, confirmed=True)
    with refused_by_the_database():
        PracticeSession.objects.filter(pk=session.pk).update(supervisor=apprentice)


def test_nobody_confirms_practice_of_their_own(
    log: Callable[..., PracticeSession], apprentice: Person, also: Callable[..., None]
) -> None:
    also(apprentice, Role.EDUCATOR)
    with pytest.raises(PracticeError, match="cannot confirm your own practice"):
        log(supervisor=apprentice)
    with pytest.raises(PracticeError, match="Only the supervisor named"):
        confirm_session(session=log(), supervisor=apprentice, confirmed=True)


def test_no_address_confirms_ones_own_practice(
    log: Callable[..., PracticeSession],
    apprentice: Person,
    educator: Person,
    also: Callable[..., None],
    signed_in: Callable[[Person], Client],
) -> None:
    session = log(supervisor=educator)
    also(apprentice, Role.EDUCATOR)
    own = signed_in(apprentice)
    at = url("session-confirm", token=session.token)
    assert own.post(at, {"confirmed": "yes"}).status_code == 403
    own.post(url("sessions-confirm"), {"session": [session.token]})
    assert not SessionConfirmation.objects.exists()


def test_the_database_lets_nobody_set_or_take_back_a_task_of_their_own(
    module: ModuleVersion, learning_educator: Person, own_task: Task
) -> None:
    with refused_by_the_database():
        Task.objects.create(
            academy=module.academy,
            apprentice=learning_educator,
            educator=learning_educator,
            module=module.module,
            title="Coverage",
            count=1,
            unit="heads",
            due_on=timezone.localdate(),
        )
    with refused_by_the_database():
        TaskWithdrawal.objects.create(task=own_task, educator=learning_educator, reason="No.")


def test_nobody_sets_or_takes_back_a_task_of_their_own(
    module: ModuleVersion, learning_educator: Person, own_task: Task
) -> None:
    with pytest.raises(PracticeError, match="Nobody sets a task for themselves"):
        set_tasks(
            academy=module.academy,
            educator=learning_educator,
            module=module.module,
            apprentices=[learning_educator],
            wanted=wanted(),
        )
    with pytest.raises(PracticeError, match="Nobody takes back"):
        withdraw_task(task=own_task, educator=learning_educator, reason="No.")


def test_no_address_sets_or_takes_back_a_task_of_ones_own(
    module: ModuleVersion,
    learning_educator: Person,
    own_task: Task,
    signed_in: Callable[[Person], Client],
) -> None:
    desk = signed_in(learning_educator)
    data = {
        "module": module.module.token,
        "count": "3",
        "unit": "heads",
        "due_on": f"{timezone.localdate():%d %b %Y}",
        "apprentices": [learning_educator.token],
    }
    desk.post(url("task-new"), data)
    at = url("task-withdraw", token=own_task.token)
    assert desk.post(at, {"reason": "No."}).status_code == 403
    page = desk.get(url("task-detail", token=own_task.token)).content.decode()
    assert at not in page
    assert Task.objects.get() == own_task
    assert not TaskWithdrawal.objects.exists()
