"""Appeals against a "not yet": made in writing, always with a blind second look, answered in time.

Source: trade.md 5.5. What comes of an appeal is what the two looks and the ruling come to; the
verifier gives the reason.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.appeals import Terms
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Appeal,
    AppealAnswer,
    AppealWithdrawal,
    Assessment,
    SecondAsked,
)
from academy.assessment.services.holding import hold_head
from academy.assessment.services.second import ask_by_appeal
from academy.audit.services import record
from academy.web.days import written

if TYPE_CHECKING:
    from academy.people.models import Person

Decision = AppealAnswer.Decision
TAKEN_BACK = (
    "You took this appeal back on {day}. It is not made a second time: speak to your educator."
)


def appeal(*, assessment: Assessment, apprentice: Person, text: str) -> Appeal:
    """Appeal in writing; asks for a blind second look where there is none. Twice gives the same.

    Raises `AssessmentError` for anybody but the apprentice, for a head that is not "not yet", and
    once the working days of the rules are over.
    """
    if not rules.may_appeal(apprentice, assessment):
        raise AssessmentError("Only the apprentice can appeal, against a head of their own.")
    found = _made_before(assessment)
    if found is not None:
        return found
    _check_stands(assessment)
    if not text.strip():
        raise AssessmentError(
            "Say what you see differently, for example: the left side was done too.",
            field="text",
        )
    terms = Terms.of(assessment.academy)
    last = terms.appeal_until(assessment)
    if last < terms.today:
        raise AssessmentError(
            f"The {terms.appeal_days} working days for an appeal ended on {written(last)}. "
            "Speak to your educator."
        )
    with transaction.atomic():
        # Asked again under the lock: it may have been appealed against meanwhile, or withdrawn,
        # and an appeal against what nobody looks at any more could never be answered.
        now = hold_head(assessment)
        found = _made_before(now)
        if found is not None:
            return found
        _check_stands(now)
        row = Appeal.objects.create(
            assessment=now,
            academy_id=now.academy_id,
            apprentice=apprentice,
            text=text.strip(),
            answer_by=terms.answer_by(),
        )
        _record(row, apprentice, "assessment.appeal.made", answer_by=row.answer_by.isoformat())
        if now.second is None:
            ask_by_appeal(first=now, by=apprentice, reason="An appeal.")
    return row


def _check_stands(assessment: Assessment) -> None:
    if assessment.shown != "notyet":
        raise AssessmentError("Only a “not yet” that stands can be appealed against.")


def _made_before(assessment: Assessment) -> Appeal | None:
    """The appeal about this head; `AssessmentError` where it was taken back."""
    found = Appeal.objects.select_related("withdrawal").filter(assessment=assessment).first()
    if found is not None and hasattr(found, "withdrawal"):
        raise AssessmentError(TAKEN_BACK.format(day=written(found.withdrawal.at)))
    return found


def withdraw_appeal(*, appeal: Appeal, apprentice: Person, reason: str = "") -> AppealWithdrawal:
    """The apprentice takes an appeal back: the outcome is as before. Twice gives the same.

    The second look that it alone asked for is called off. Raises `AssessmentError` once that look
    was begun, and once the appeal is answered.
    """
    if not rules.may_withdraw_appeal(apprentice, appeal):
        raise AssessmentError("Only the apprentice who made an appeal can take it back.")
    with transaction.atomic():
        # Held until the end, so that nobody begins the second look meanwhile.
        Assessment.objects.select_for_update().get(pk=appeal.assessment_id)
        found = AppealWithdrawal.objects.filter(appeal=appeal).first()
        if found is not None:
            return found
        why_not = why_it_runs_on(appeal)
        if why_not:
            raise AssessmentError(why_not)
        look = _look_of(appeal)
        row = AppealWithdrawal.objects.create(appeal=appeal, calls_off=look, reason=reason.strip())
        _record(appeal, apprentice, "assessment.appeal.withdrawn", look_off=look is not None)
    return row


def why_it_runs_on(appeal: Appeal) -> str:
    """Why an appeal cannot be taken back any more; empty where it can. Never says who looks."""
    if AppealAnswer.objects.filter(appeal=appeal).exists():
        return "This appeal is answered. The answer stands."
    begun = Assessment.objects.filter(second_of=appeal.assessment_id).exists()
    if begun and _look_of(appeal) is not None:
        return (
            "A second assessor has begun to look at this head, so the appeal runs on to its answer."
        )
    return ""


def _look_of(appeal: Appeal) -> SecondAsked | None:
    """The second look that was asked for by this appeal; none where two had looked before."""
    return SecondAsked.objects.filter(
        assessment=appeal.assessment_id, cause=SecondAsked.Cause.APPEAL
    ).first()


def answer_appeal(*, appeal: Appeal, verifier: Person, reason: str) -> AppealAnswer:
    """The verifier's answer with its reason. It stands: a second answer gives the first one.

    What is decided follows from both marks and the ruling, so that answer and result cannot
    contradict each other. Raises `AssessmentError` while a look or a ruling is open.
    """
    if not rules.may_answer_appeal(verifier, appeal):
        raise AssessmentError(
            "A verifier answers who gave neither mark, did not rule on them before the appeal, "
            "and is not the apprentice."
        )
    found = AppealAnswer.objects.filter(appeal=appeal).first()
    if found is not None:
        return found
    if AppealWithdrawal.objects.filter(appeal=appeal).exists():
        raise AssessmentError("The apprentice took this appeal back. Nothing is to be answered.")
    if not reason.strip():
        raise AssessmentError(
            "Give the reason, for example: both assessors saw the same gap at the crown.",
            field="reason",
        )
    with transaction.atomic():
        first = Assessment.objects.for_result().get(pk=appeal.assessment_id)
        Assessment.objects.select_for_update().get(pk=first.pk)
        row, made = AppealAnswer.objects.get_or_create(
            appeal=appeal,
            defaults={
                "verifier": verifier,
                "decision": decision_on(first),
                "reason": reason.strip(),
            },
        )
        if made:
            _record(appeal, verifier, "assessment.appeal.answered", decision=row.decision)
    return row


def decision_on(first: Assessment) -> Decision:
    """What two looks and a ruling come to; `AssessmentError` while one is open."""
    if first.second is None:
        raise AssessmentError(
            "An appeal always gets a blind second look. Answer once it is submitted."
        )
    ruling = getattr(first, "ruling", None)
    if ruling is not None and ruling.decision == "one_more":
        return Decision.ONE_MORE
    if first.shown == "second":
        raise AssessmentError("The two marks differ. Give the ruling first, then the answer.")
    return Decision.UPHELD if first.shown == "competent" else Decision.STANDS


def _record(row: Appeal, by: Person, action: str, **details: object) -> None:
    record(
        academy_id=row.academy_id,
        actor_id=by.pk,
        action=action,
        subject=row,
        details={"apprentice": row.apprentice_id, "head": row.assessment_id, **details},
    )
