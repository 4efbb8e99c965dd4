"""A verifier's ruling on two marks of one head that came to different outcomes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Ruling
from academy.audit.services import record

if TYPE_CHECKING:
    from academy.people.models import Person


def rule(
    *, first: Assessment, second: Assessment, verifier: Person, decision: str, reason: str
) -> Ruling:
    """Confirm one of the two marks, or ask for one more head; both marks stay as they are.

    There is one ruling for a head. Raises `AssessmentError` for whoever gave one of the marks,
    where the two agree, without a reason, and where somebody has ruled.
    """
    if not rules.may_rule(verifier, first, second):
        raise AssessmentError("Nobody rules on a mark of their own. Another verifier has to.")
    submitted = Assessment.State.SUBMITTED
    if second.second_of_id != first.pk or (first.state, second.state) != (submitted, submitted):
        raise AssessmentError("A ruling is about two submitted marks of the same head.")
    if first.outcome.by_marks == second.outcome.by_marks:
        raise AssessmentError("The two marks agree, so the outcome stands without a ruling.")
    if decision not in Ruling.Decision.values:
        raise AssessmentError("Choose which mark stands, or one more head.", field="decision")
    if not reason.strip():
        raise AssessmentError(
            "Say why, for example: the photo of the nape shows the second's fault 2.",
            field="reason",
        )
    with transaction.atomic():
        # Held until the end, so that two verifiers at once make one ruling.
        Assessment.objects.select_for_update().get(pk=first.pk)
        if Ruling.objects.filter(first=first).exists():
            raise AssessmentError("A verifier has ruled on this head. The ruling stands.")
        row = Ruling.objects.create(
            first=first,
            second=second,
            verifier=verifier,
            decision=decision,
            reason=reason.strip(),
        )
        record(
            academy_id=first.academy_id,
            actor_id=verifier.pk,
            action="assessment.ruling.given",
            subject=first,
            details={
                "apprentice": first.apprentice_id,
                "second": second.pk,
                "ruling": row.pk,
                "decision": row.decision,
            },
        )
    return row
