"""Feedback on a head that stands: mended and added to by who gave it, row by row."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.boxes import part_name
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Feedback
from academy.assessment.phrases import UNEDITED, phrases_for, unedited
from academy.assessment.services.holding import hold_head
from academy.audit.services import record

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.boxes import Boxes
    from academy.assessment.models import Assessment
    from academy.people.models import Person


def correct_feedback(*, feedback: Feedback, by: Person, boxes: Boxes, reason: str) -> Feedback:
    """Fill or mend the boxes of a submitted assessment: a new row that names the old one."""
    assessment = feedback.assessment
    if not rules.may_correct_feedback(by, assessment):
        raise AssessmentError("Only the assessor who gave this feedback can correct it.")
    if not reason.strip():
        raise AssessmentError("Say why, for example: the date was missing.", field="reason")
    _check_filled([boxes])
    check_edited(assessment, [boxes])
    with transaction.atomic():
        # Held until the end, so that of two submits at once the later reads that it is.
        hold_head(assessment)
        if Feedback.objects.filter(corrects=feedback).exists():
            raise AssessmentError("This feedback was corrected already. Open the newest one.")
        row = Feedback.objects.create(
            assessment=assessment,
            corrects=feedback,
            correction_reason=reason.strip(),
            written_by=by,
            **asdict(boxes),
        )
        _record(row, by, "assessment.feedback.corrected")
    return row


def add_feedback(*, assessment: Assessment, by: Person, boxes: Boxes) -> Feedback:
    """Add a point of feedback to a submitted assessment that had none, or too little."""
    if not rules.may_correct_feedback(by, assessment):
        raise AssessmentError("Only the assessor of this head can add feedback to it.")
    _check_filled([boxes])
    check_edited(assessment, [boxes])
    with transaction.atomic():
        row = Feedback.objects.create(assessment=assessment, written_by=by, **asdict(boxes))
        _record(row, by, "assessment.feedback.added")
    return row


def correct_points(
    *,
    assessment: Assessment,
    by: Person,
    points: Sequence[tuple[Feedback | None, Boxes]],
    reason: str,
) -> list[Feedback]:
    """Correct the points that differ from their row, add those without one; all of it or nothing.

    Added points that are empty are left away. Raises `AssessmentError` where nothing differs.
    """
    boxes = [point for _, point in points]
    check_edited(assessment, boxes)
    for number, (row, point) in enumerate(points, 1):
        if row is not None:
            _check_filled([point], number)
    rows = []
    with transaction.atomic():
        for row, point in points:
            if row is None and not point.empty:
                rows.append(add_feedback(assessment=assessment, by=by, boxes=point))
            elif row is not None and row.boxes != point:
                rows.append(correct_feedback(feedback=row, by=by, boxes=point, reason=reason))
    if not rows:
        raise AssessmentError("Nothing differs from what was given. Mend a box, or add a point.")
    return rows


def check_edited(assessment: Assessment, points: Sequence[Boxes]) -> None:
    """An offered phrase is a beginning; as it was offered it says nothing of these hands."""
    offered = phrases_for(assessment)
    for number, point in enumerate(points, 1):
        phrase = unedited(point.next_action, offered)
        if phrase:
            raise AssessmentError(
                UNEDITED.format(phrase=phrase), field=part_name(number, "next_action")
            )


def _check_filled(points: Sequence[Boxes], first: int = 1) -> None:
    for number, point in enumerate(points, first):
        if point.empty:
            raise AssessmentError("Fill at least one box.", field=part_name(number, "seen_what"))


def _record(row: Feedback, by: Person, action: str) -> None:
    record(
        academy_id=row.assessment.academy_id,
        actor_id=by.pk,
        action=action,
        subject=row.assessment,
        details={"apprentice": row.assessment.apprentice_id, "feedback": row.pk},
    )
