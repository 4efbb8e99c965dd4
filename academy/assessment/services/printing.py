"""Asking for a result sheet as PDF; a worker makes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.blind import withheld
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, ResultPrint, Ruling
from academy.audit.services import record
from academy.web.models import JobState
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from academy.people.models import Person

_GOING = (JobState.WAITING, JobState.RUNNING)


def ask_result_print(*, assessment: Assessment, by: Person) -> ResultPrint:
    """Let a worker make the PDF. Asked again while one is being made, it gives that one.

    Raises `AssessmentError` for a draft, for whoever may not read the sheet, and for the
    apprentice while a second assessor looks at the head.
    """
    if not rules.may_print(by, assessment):
        raise AssessmentError("Only the apprentice it is about and staff print a result sheet.")
    if withheld(assessment, by):
        raise AssessmentError(_why_not(assessment))
    with transaction.atomic():
        Assessment.objects.select_for_update().get(pk=assessment.pk)
        going = ResultPrint.objects.filter(
            assessment=assessment, asked_by=by, job__state__in=_GOING, file="", trouble=""
        ).first()
        if going is not None:
            return going
        asked = ResultPrint.objects.create(assessment=assessment, asked_by=by)
        record(
            academy_id=assessment.academy_id,
            actor_id=by.pk,
            action="assessment.assessment.printed",
            subject=assessment,
            details={"apprentice": assessment.apprentice_id, "print": asked.pk},
        )
        job = enqueue("academy.assessment.tasks.make_result", asked.pk)
        ResultPrint.objects.filter(pk=asked.pk).update(job=job)
    asked.refresh_from_db()
    return asked


def _why_not(assessment: Assessment) -> str:
    """Why its apprentice cannot print a sheet whose marks they do not read."""
    ruling = getattr(assessment, "ruling", None)
    if ruling is not None and ruling.decision == Ruling.Decision.ONE_MORE:
        return (
            "Two assessors came to different outcomes, and a verifier ruled for one more head. "
            "This one has no outcome to print; that of the next head can be."
        )
    if assessment.withdrawn:
        return (
            "This sheet was withdrawn, and what takes its place is not decided. "
            "It can be printed once that is."
        )
    return "A second assessor looks at this head. The sheet can be printed once it is decided."
