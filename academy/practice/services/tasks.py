"""Tasks: an educator sets what is practised until which day, and may take it back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.craft.head.zones import Zone
from academy.practice import queries, rules
from academy.practice.errors import PracticeError
from academy.practice.models import Task, TaskWithdrawal

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from academy.curriculum.content import PracticeUnit
    from academy.curriculum.models import Module
    from academy.people.models import Academy, Person

MOST_COUNT = 100


@dataclass(frozen=True)
class Wanted:
    """What is to be practised: so many of a unit, in one zone where one is named."""

    count: int
    unit: PracticeUnit
    due_on: date
    zone: str = ""
    note: str = ""


def set_tasks(
    *, academy: Academy, educator: Person, module: Module, apprentices: Sequence[Person],
    wanted: Wanted,
) -> list[Task]:  # fmt: skip
    """Set the same task for one apprentice or several, all or none; one entry for each.

    Raises `PracticeError` with the field at fault.
    """
    if not rules.may_set_tasks(educator, academy):
        raise PracticeError("Only an educator of this academy sets tasks.")
    if module.academy_id != academy.pk:
        raise PracticeError("Choose one of your academy's modules.", field="module")
    if not apprentices:
        raise PracticeError("Choose at least one apprentice.", field="apprentices")
    for person in apprentices:
        if person == educator:
            raise PracticeError(
                "Nobody sets a task for themselves. Leave your own name out.", field="apprentices"
            )
        if not rules.may_log(person, academy):
            raise PracticeError(
                f"{person} is not an apprentice of your academy.", field="apprentices"
            )
    _check(wanted)
    with transaction.atomic():
        return [_set(academy, educator, module, person, wanted) for person in apprentices]


def _check(wanted: Wanted) -> None:
    if not 1 <= wanted.count <= MOST_COUNT:
        raise PracticeError(f"Set 1 to {MOST_COUNT}, for example 4.", field="count")
    if wanted.zone and wanted.zone not in {zone.value for zone in Zone}:
        raise PracticeError("This zone is not on the head. Choose again.", field="zone")
    if wanted.due_on < timezone.localdate():
        raise PracticeError("This day is past. Give a later one.", field="due_on")


def _set(
    academy: Academy, educator: Person, module: Module, apprentice: Person, wanted: Wanted
) -> Task:
    version = queries.version_begun(apprentice, module)
    if version is None:
        raise PracticeError("This module has no published edition to practise.", field="module")
    task = Task.objects.create(
        academy=academy,
        apprentice=apprentice,
        educator=educator,
        module=module,
        title=version.title,
        count=wanted.count,
        unit=wanted.unit.value,
        zone=wanted.zone,
        note=wanted.note.strip(),
        due_on=wanted.due_on,
    )
    _record(task, educator, "practice.task.set")
    return task


def withdraw_task(*, task: Task, educator: Person, reason: str) -> TaskWithdrawal:
    """Take a task back, with a reason the apprentice reads. Twice gives the first."""
    if not rules.may_set_tasks(educator, task.academy):
        raise PracticeError("Only an educator of this academy takes a task back.")
    if not rules.may_withdraw_task(educator, task):
        raise PracticeError("Nobody takes back a task of their own. Ask a colleague.")
    if not reason.strip():
        raise PracticeError("Say why, for example: set for the wrong module.", field="reason")
    with transaction.atomic():
        row, made = TaskWithdrawal.objects.get_or_create(
            task=task, defaults={"educator": educator, "reason": reason.strip()}
        )
        if made:
            _record(task, educator, "practice.task.withdrawn")
    return row


def _record(task: Task, educator: Person, action: str) -> None:
    record(
        academy_id=task.academy_id,
        actor_id=educator.pk,
        action=action,
        subject=task,
        details={
            "apprentice": task.apprentice_id,
            "module": task.module_id,
            "unit": task.unit,
            "count": task.count,
            "zone": task.zone or "none",
            "due_on": task.due_on.isoformat(),
        },
    )
