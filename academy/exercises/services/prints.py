"""Asking for a paper as PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.audit.services import record
from academy.exercises import rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper, PaperPrint
from academy.web.models import JobState
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from academy.people.models import Person

_OPEN = (JobState.WAITING, JobState.RUNNING)


def ask_print(*, paper: Paper, by: Person, what: str) -> PaperPrint:
    """Let a worker make the PDF. Asked again while one is being made, it gives that one."""
    if not rules.may_set(by, paper.academy):
        raise PaperError("Only an educator of this academy sets, prints and withdraws papers.")
    with transaction.atomic():
        Paper.objects.select_for_update().get(pk=paper.pk)
        going = paper.prints.filter(what=what, job__state__in=_OPEN, file="", trouble="")
        if found := going.first():
            return found
        asked = PaperPrint.objects.create(paper=paper, asked_by=by, what=what)
        record(
            academy_id=paper.academy_id,
            actor_id=by.pk,
            action=f"exercises.paper.{what}_printed",
            subject=paper,
            details={"print": asked.pk},
        )
        asked.job = enqueue("academy.exercises.tasks.make_print", asked.pk)
        PaperPrint.objects.filter(pk=asked.pk).update(job=asked.job)
    asked.refresh_from_db()
    return asked
