"""Tests that end: by their time, by their last day, or because an educator closes them.

From then on nothing more is kept, and an open sheet is handed in with what was kept: when it is
touched the next time, by a job that was asked for at the start, or in the night.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.exercises import rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper
from academy.exercises.services.keeping import locked_sheet, mark_and_freeze
from academy.exercises.services.wanted import require_educator
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from datetime import datetime

    from academy.exercises.models import AnswerSheet
    from academy.people.models import Person

TIME_IS_UP = (
    "The time is up. Your sheet was handed in with what was kept before; the last entry was not."
)


def end_of(paper: Paper, start: datetime) -> datetime | None:
    """When the time of a sheet that is begun at `start` is up; None where there is no time."""
    if paper.minutes is None:
        return None
    end = start + timedelta(minutes=paper.minutes)
    return min(end, paper.closes_at) if paper.closes_at else end


def end_later(sheet: AnswerSheet) -> None:
    """Let a worker hand the sheet in when its time is up and nobody has."""
    if sheet.ends_at is not None:
        enqueue(
            "academy.exercises.paper_tasks.end_sheet",
            sheet.pk,
            key=f"exercises.end {sheet.pk}",
            due=sheet.ends_at + rules.GRACE + timedelta(seconds=1),
        )


def end_if_over(sheet: AnswerSheet) -> AnswerSheet:
    """Hand in a sheet whose time is up, with what was kept. A sheet that has time is left alone.

    It counts as handed in when its time ended, however late anybody looked.
    """
    with transaction.atomic():
        locked = locked_sheet(sheet)
        now = timezone.now()
        if locked.handed_in or locked.paper.withdrawn or not rules.is_over(locked, now):
            return locked
        ends = (locked.ends_at, locked.paper.closes_at)
        at = min(moment for moment in (*ends, now) if moment is not None)
        mark_and_freeze(locked, by=None, answers={}, at=max(at, locked.started_at))
    return locked


def close_paper(*, paper: Paper, by: Person) -> Paper:
    """End a test for everybody: open sheets are handed in, and the solution is shown."""
    require_educator(paper.academy, by)
    with transaction.atomic():
        locked = Paper.objects.select_for_update(of=("self",)).get(pk=paper.pk)
        if locked.kind != Paper.Kind.TEST:
            raise PaperError("Only a test is closed. Practice shows its solution at once.")
        if locked.shows_solution:
            return locked
        locked.closed_at = timezone.now()
        locked.save(update_fields=["closed_at"])
        enqueue(
            "academy.exercises.paper_tasks.end_sheets",
            locked.pk,
            key=f"exercises.close {locked.pk}",
        )
        record(
            academy_id=locked.academy_id,
            actor_id=by.pk,
            action="exercises.paper.closed",
            subject=locked,
            details={"open": locked.sheets.filter(submitted_at__isnull=True).count()},
        )
    return locked
