"""Submitting an assessment: from here on it stands, with its outcome and its feedback."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.marking import marking_of
from academy.assessment.models import (
    Acknowledgement,
    Assessment,
    Booking,
    Feedback,
    FeedbackDraft,
    Outcome,
)
from academy.assessment.reading import days_to_read, not_acknowledged
from academy.assessment.services.feedback import check_edited
from academy.assessment.services.head_sample import causes_given
from academy.assessment.submissions import sums
from academy.audit.services import record
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.outcome import ByMarks, Outcome as JudgedOutcome, outcome
from academy.craft.judging.stored import stored

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.boxes import Boxes
    from academy.craft.judging.marking import Marking, SecondCause
    from academy.people.models import Person


def submit(
    *,
    assessment: Assessment,
    by: Person,
    points: Sequence[Boxes],
    asked_for: Sequence[SecondCause] = (),
) -> Outcome:
    """Freeze the assessment and compute its outcome. Submitting twice gives the same outcome.

    `points` are the feedback, one for each point; empty ones are left away. A "not yet" without
    any feedback is refused. `asked_for` are causes of a second mark that were there before.
    Raises `AssessmentError` naming what is missing.
    """
    if not assessment.assessor_id == by.pk:
        raise AssessmentError("Only the assessor who began this draft can submit it.")
    with transaction.atomic():
        # Lock the row (PostgreSQL) or the database (SQLite), so that a second click waits here.
        held = Assessment.objects.select_for_update().get(pk=assessment.pk)
        if held.state == Assessment.State.SUBMITTED:
            return held.outcome
        held = Assessment.objects.for_scoring().get(pk=assessment.pk)
        marking, decided = _decide(held, [*asked_for, *causes_given(held)])
        check_edited(held, points)
        given = [point for point in points if not point.empty]
        if decided.by_marks is ByMarks.NOT_YET and not any(point.count for point in given):
            raise AssessmentError(
                "A “not yet” needs feedback: fill at least one of the four boxes whole, "
                "for example what was seen and in which zone.",
                field="seen_what",
            )
        _write_feedback(held, by, given)
        row = Outcome.objects.create(
            assessment=held,
            by_marks=decided.by_marks.value,
            second_needed=decided.second_needed,
            causes=[cause.value for cause in decided.causes],
            reasons=[asdict(reason) for reason in decided.reasons],
            head_mark=decided.head_mark,
            pass_line=marking.rules.pass_line,
            near_band=marking.rules.near_band,
            figures=stored(marking, decided),
        )
        _freeze(held)
        record(
            academy_id=held.academy_id,
            actor_id=by.pk,
            action="assessment.assessment.submitted",
            subject=held,
            details={
                "apprentice": held.apprentice_id,
                "version": held.module_version_id,
                "kind": held.kind,
                "by_marks": row.by_marks,
                "second_needed": row.second_needed,
                "causes": list(row.causes),
                "head_mark": None if row.head_mark is None else str(row.head_mark),
                "overall": held.overall,
                "rule_set": held.rule_set.number if held.rule_set else 0,
                "feedback": len(given),
                # What the row holds and what was photographed are tied to the chain by their sums.
                **sums(row.figures, (photo.sha256 for photo in held.photos.all())),
            },
        )
    assessment.refresh_from_db()
    return row


def acknowledge(
    *, assessment: Assessment, apprentice: Person, disagrees: bool = False, note: str = ""
) -> Acknowledgement:
    """The apprentice has read the result sheet: "read", not "agree".

    After the days that the rules give it stands as not acknowledged: `AssessmentError`.
    """
    found = Acknowledgement.objects.filter(assessment=assessment).first()
    if found is not None and assessment.apprentice_id == apprentice.pk:
        return found
    if not rules.may_acknowledge(apprentice, assessment):
        raise AssessmentError("Only the apprentice it is about can acknowledge a result sheet.")
    days = days_to_read(assessment.rule_set)
    if not_acknowledged(assessment, days, timezone.localdate()):
        raise AssessmentError(
            f"The {days} days to read it are over, so it stands as not acknowledged. "
            "What you see differently you tell your educator, or write an appeal."
        )
    if disagrees and not note.strip():
        raise AssessmentError(
            "Say what you see differently, for example: the nape was done.", field="note"
        )
    with transaction.atomic():
        row = Acknowledgement.objects.create(
            assessment=assessment, apprentice=apprentice, disagrees=disagrees, note=note.strip()
        )
        record(
            academy_id=assessment.academy_id,
            actor_id=apprentice.pk,
            action="assessment.assessment.acknowledged",
            subject=assessment,
            details={"apprentice": apprentice.pk, "disagrees": disagrees},
        )
    return row


def _decide(
    assessment: Assessment, asked_for: Sequence[SecondCause]
) -> tuple[Marking, JudgedOutcome]:
    try:
        marking = marking_of(assessment, asked_for)
        return marking, outcome(marking)
    except JudgingError as error:
        raise AssessmentError(str(error)) from error


def _write_feedback(assessment: Assessment, by: Person, points: Sequence[Boxes]) -> None:
    for point in points:
        Feedback.objects.create(assessment=assessment, written_by=by, **asdict(point))
    FeedbackDraft.objects.filter(assessment=assessment).delete()


def _freeze(assessment: Assessment) -> None:
    assessment.state = Assessment.State.SUBMITTED
    assessment.submitted_at = assessment.changed_at = timezone.now()
    assessment.save(update_fields=["state", "submitted_at", "changed_at"])
    if assessment.booking_id is not None:
        Booking.objects.filter(pk=assessment.booking_id).update(state=Booking.State.DONE)
