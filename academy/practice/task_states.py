"""How far tasks are: counted from what was logged since, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils import timezone

from academy.practice.models import UnitsDone

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from academy.practice.models import Task


class TaskState(StrEnum):
    OPEN = "open"
    LATE = "late"
    DONE = "done"
    WITHDRAWN = "withdrawn"


# The mark (`academy.web.marks`) and the words of each state.
_SHOWN = {
    TaskState.OPEN: ("missing", "open"),
    TaskState.LATE: ("expired", "past its day"),
    TaskState.DONE: ("right", "done"),
    TaskState.WITHDRAWN: ("withdrawn", "taken back"),
}


@dataclass(frozen=True)
class TaskRow:
    """A task with how much of it was done since it was set."""

    task: Task
    done: int
    today: date

    @property
    def state(self) -> TaskState:
        if self.task.withdrawn:
            return TaskState.WITHDRAWN
        if self.done >= self.task.count:
            return TaskState.DONE
        return TaskState.LATE if self.task.due_on < self.today else TaskState.OPEN

    @property
    def mark(self) -> str:
        return _SHOWN[self.state][0]

    @property
    def words(self) -> str:
        return _SHOWN[self.state][1]

    @property
    def done_words(self) -> str:
        """For example "2 of 3 done"."""
        return f"{min(self.done, self.task.count)} of {self.task.count} done"

    @property
    def waits(self) -> bool:
        return self.state in (TaskState.OPEN, TaskState.LATE)


def rows_of(tasks: Iterable[Task]) -> list[TaskRow]:
    """The tasks, fetched `for_list`, in their order with what was done. One query."""
    found = list(tasks)
    done = _done(found)
    today = timezone.localdate()
    return [TaskRow(task, done[task.pk], today) for task in found]


def _done(tasks: list[Task]) -> dict[int, int]:
    """By task id: units of its kind, module and zone in sessions begun after it was set."""
    if not tasks:
        return {}
    counts = Q(session__taken_back_at__isnull=True) & ~Q(session__confirmation__confirmed=False)
    rows = list(
        UnitsDone.objects.filter(
            counts,
            session__apprentice__in={task.apprentice_id for task in tasks},
            session__module_version__module__in={task.module_id for task in tasks},
            session__started_at__gte=min(task.set_at for task in tasks),
        ).values_list(
            "session__apprentice",
            "session__module_version__module",
            "unit",
            "session__started_at",
            "session__zones",
            "count",
        )
    )
    return {
        task.pk: sum(
            count
            for apprentice, module, unit, at, zones, count in rows
            if (apprentice, module, unit) == (task.apprentice_id, task.module_id, task.unit)
            and at >= task.set_at
            and (not task.zone or task.zone in zones)
        )
        for task in tasks
    }
