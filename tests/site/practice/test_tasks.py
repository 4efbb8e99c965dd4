"""Tasks: set by educators, counted from what is logged since, done by themselves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.db import Error, connection, transaction
from django.urls import reverse
from django.utils import timezone

from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.curriculum.content import PracticeUnit
from academy.people.models import Academy, Person, Role
from academy.practice.errors import PracticeError
from academy.practice.models import Task
from academy.practice.services import (
    Sitting,
    Wanted,
    log_session,
    set_tasks,
    take_back_session,
    withdraw_task,
)
from academy.practice.targets import Done
from academy.practice.task_states import TaskState, rows_of
from academy.web.tokens import new_token
from tests.site.making import publish

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.practice.models import PracticeSession


@pytest.fixture
def module(academy: Academy, educator: Person) -> ModuleVersion:
    return publish(academy, educator, "coverage", zones=True)


@pytest.fixture
def give(
    academy: Academy, educator: Person, apprentice: Person, module: ModuleVersion
) -> Callable[..., Task]:
    """`give(count=…, zone=…)`: a task of three nape panels by the day in two weeks."""

    def set_one(count: int = 3, zone: str = "nape", days: int = 14, by: Person = educator) -> Task:
        wanted = Wanted(
            count=count,
            unit=PracticeUnit.PANELS,
            due_on=timezone.localdate() + timedelta(days=days),
            zone=zone,
        )
        (task,) = set_tasks(
            academy=academy,
            educator=by,
            module=module.module,
            apprentices=[apprentice],
            wanted=wanted,
        )
        return task

    return set_one


@pytest.fixture
def practise(
    academy: Academy, apprentice: Person, module: ModuleVersion
) -> Callable[..., PracticeSession]:
    def log(
        count: int,
        zones: tuple[str, ...] = ("nape",),
        unit: PracticeUnit = PracticeUnit.PANELS,
        hours_ago: float = 0,
    ) -> PracticeSession:
        return log_session(
            academy=academy,
            apprentice=apprentice,
            version=module,
            sitting=Sitting(
                started_at=timezone.now() - timedelta(hours=hours_ago),
                minutes=30,
                units=[Done(unit, count)],
                zones=list(zones),
            ),
            client_key=new_token(),
        )

    return log


def state(task: Task) -> tuple[int, TaskState]:
    (row,) = rows_of([Task.objects.for_list().get(pk=task.pk)])
    return row.done, row.state


def test_a_task_is_counted_from_what_is_logged_after_it_was_set(
    give: Callable[..., Task], practise: Callable[..., PracticeSession]
) -> None:
    task = give()
    practise(5, hours_ago=2)  # before it was set
    practise(2)
    assert state(task) == (2, TaskState.OPEN)


def test_only_sessions_that_name_module_zone_and_unit_count(
    give: Callable[..., Task], practise: Callable[..., PracticeSession]
) -> None:
    task = give()
    practise(4, zones=("crown",))
    practise(4, unit=PracticeUnit.HEADS)
    assert state(task) == (0, TaskState.OPEN)


def test_a_task_is_done_by_itself_and_a_session_taken_back_undoes_it(
    give: Callable[..., Task], practise: Callable[..., PracticeSession], apprentice: Person
) -> None:
    task = give()
    session = practise(3)
    assert state(task) == (3, TaskState.DONE)
    take_back_session(session=session, apprentice=apprentice)
    assert state(task) == (0, TaskState.OPEN)


def test_a_task_past_its_day_says_so(give: Callable[..., Task]) -> None:
    task = give(days=1)
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        assert state(task)[1] is TaskState.LATE


def test_without_a_zone_every_session_of_the_module_counts(
    give: Callable[..., Task], practise: Callable[..., PracticeSession]
) -> None:
    task = give(zone="")
    practise(3, zones=())
    assert state(task)[1] is TaskState.DONE


@pytest.mark.parametrize("role", [Role.ASSESSOR, Role.VERIFIER, Role.MANAGER, Role.APPRENTICE])
def test_only_educators_set_and_take_back(
    give: Callable[..., Task], make_member: Callable[..., Person], role: Role
) -> None:
    other = make_member(role)
    with pytest.raises(PracticeError, match="Only an educator"):
        give(by=other)
    with pytest.raises(PracticeError, match="Only an educator"):
        withdraw_task(task=give(), educator=other, reason="No.")


def test_what_cannot_be_is_refused_with_its_field(give: Callable[..., Task]) -> None:
    for wrong, field in (
        ({"count": 0}, "count"),
        ({"zone": "ear"}, "zone"),
        ({"days": -1}, "due_on"),
    ):
        with pytest.raises(PracticeError) as refused:
            give(**wrong)
        assert refused.value.field == field
    assert not Task.objects.exists()


def test_a_task_is_taken_back_once_with_a_reason(
    give: Callable[..., Task], educator: Person
) -> None:
    task = give()
    with pytest.raises(PracticeError, match="Say why"):
        withdraw_task(task=task, educator=educator, reason=" ")
    first = withdraw_task(task=task, educator=educator, reason="Set for the wrong zone.")
    assert withdraw_task(task=task, educator=educator, reason="Again.").pk == first.pk
    assert state(task)[1] is TaskState.WITHDRAWN
    actions = list(Entry.objects.order_by("pk").values_list("action", flat=True))[-2:]
    assert actions == ["practice.task.set", "practice.task.withdrawn"]


def test_a_task_never_changes(give: Callable[..., Task]) -> None:
    task = give()
    with pytest.raises(AuditError):
        task.save()
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE practice_task SET count = 1")


def test_the_apprentice_reads_it_in_the_log_with_its_day_and_how_much_is_done(
    give: Callable[..., Task],
    practise: Callable[..., PracticeSession],
    academy: Academy,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    task = give()
    practise(2)
    page = signed_in(apprentice).get(reverse("practice:session-list", args=[academy.slug]))
    words = page.content.decode()
    assert "3 panels, nape" in words
    assert "2 of 3 done" in words
    assert f"by {task.due_on.day} " in words


def test_one_form_sets_a_task_for_several(
    academy: Academy,
    educator: Person,
    apprentice: Person,
    make_member: Callable[..., Person],
    module: ModuleVersion,
    signed_in: Callable[[Person], Client],
) -> None:
    other = make_member(Role.APPRENTICE, name="Callum Breck")
    at = reverse("practice:task-new", args=[academy.slug])
    browser = signed_in(educator)
    query = f"?module={module.module.token}&zone=nape&apprentice={other.token}"
    page = browser.get(at + query).content.decode()
    assert page.count(" checked") == 1
    day = timezone.localdate() + timedelta(days=9)
    data = {
        "module": module.module.token,
        "count": "3",
        "unit": "panels",
        "zone": "nape",
        "due_on": f"{day:%d %b %Y}",
        "apprentices": [apprentice.token, other.token],
    }
    assert browser.post(at, data).status_code == 302
    assert set(Task.objects.values_list("apprentice", flat=True)) == {apprentice.pk, other.pk}


def test_an_apprentice_sees_nobody_elses_task(
    give: Callable[..., Task],
    academy: Academy,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    task = give()
    other = signed_in(make_member(Role.APPRENTICE, name="Callum Breck"))
    assert (
        other.get(reverse("practice:task-detail", args=[academy.slug, task.token])).status_code
        == 404
    )
    words = other.get(reverse("practice:task-list", args=[academy.slug])).content.decode()
    assert "No task is set." in words
