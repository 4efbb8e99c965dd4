"""Around a verification: a manager names the verifier, and an action asked for is answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import ActionAnswer, Verification, VerifierNamed
from academy.assessment.services.holding import hold_sign_off
from academy.audit.services import record
from academy.people.models import Role, held_roles_of

if TYPE_CHECKING:
    from academy.assessment.models import SignOff
    from academy.people.models import Person


def name_verifier(*, sign_off: SignOff, verifier: Person, by: Person, reason: str) -> VerifierNamed:
    """A manager names who verifies a sign-off; naming again names somebody else.

    From then on only the one named may. Raises `AssessmentError` for who had a part in it, as
    verifier or as the one who names.
    """
    if not rules.may_name_verifier(by, sign_off):
        raise AssessmentError("Only a manager who had no part in this names its verifier.")
    if rules.had_a_part(verifier, sign_off):
        raise AssessmentError(
            "This person had a part in the decision. Name another.", field="verifier"
        )
    if Role.VERIFIER not in held_roles_of(verifier, sign_off.academy):
        raise AssessmentError(
            "This person is no verifier here. Give them the role first.", field="verifier"
        )
    if not reason.strip():
        raise AssessmentError(
            "Say why, for example: the other verifier marked head 2.", field="reason"
        )
    with transaction.atomic():
        hold_sign_off(sign_off.pk)
        now = sign_off.named_verifiers.first()
        if now is not None and now.verifier_id == verifier.pk:
            return now
        row = VerifierNamed.objects.create(
            sign_off=sign_off, verifier=verifier, by=by, reason=reason.strip()
        )
        record(
            academy_id=sign_off.academy_id,
            actor_id=by.pk,
            action="assessment.signoff.verifier_named",
            subject=sign_off,
            details={"apprentice": sign_off.apprentice_id, "verifier": verifier.pk},
        )
    return row


def open_action(sign_off: SignOff) -> Verification | None:
    """The action that a verifier asked for and that nobody has closed."""
    newest = sign_off.verifications.first()
    asked = newest is not None and newest.result == Verification.Result.ACTION_NEEDED
    return newest if asked else None


def answer_action(*, action: Verification, by: Person, text: str) -> ActionAnswer:
    """Say what was done about an action; the verifier's next look closes it or asks again."""
    if not rules.may_answer_action(by, action.sign_off):
        raise AssessmentError("The assessor who signed answers this, or an educator.")
    if not text.strip():
        raise AssessmentError("Say what was done, for example: date added.", field="text")
    with transaction.atomic():
        hold_sign_off(action.sign_off_id)
        if open_action(action.sign_off) != action:
            raise AssessmentError("The verifier has closed this action.")
        if hasattr(action, "answer"):
            raise AssessmentError("This action was answered. The verifier looks at it next.")
        row = ActionAnswer.objects.create(verification=action, by=by, text=text.strip())
        record(
            academy_id=action.academy_id,
            actor_id=by.pk,
            action="assessment.signoff.answered",
            subject=action.sign_off,
            details={"apprentice": action.sign_off.apprentice_id, "verification": action.pk},
        )
    return row
