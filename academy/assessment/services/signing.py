"""An assessor signs a module off; a verifier looks at the sign-off."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.assessment import consequences, rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Assessment,
    SignOff,
    SignOffAssessment,
    Verification,
)
from academy.assessment.queries import place_of
from academy.assessment.results import Standing, conditions, in_date_until
from academy.assessment.services.holding import hold_academy, hold_plan_of, hold_sign_off
from academy.audit.services import record
from academy.curriculum.house import current_rule_set
from academy.curriculum.models import ModuleVersion

if TYPE_CHECKING:
    from datetime import date

    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class Ticks:
    """The assessor's four statements about the evidence."""

    valid: bool
    sufficient: bool
    authentic: bool
    current: bool

    @property
    def open_words(self) -> list[str]:
        return [field.name for field in fields(self) if not getattr(self, field.name)]

    @property
    def refusal(self) -> str:
        """What is said while one is open; empty with all four."""
        if not self.open_words:
            return ""
        return f"All four statements are needed. Still open: {', '.join(self.open_words)}."


def sign_off(
    *,
    academy: Academy,
    assessor: Person,
    apprentice: Person,
    version: ModuleVersion,
    ticks: Ticks,
    method: str,
) -> SignOff:
    """Sign that the apprentice is competent in this module version.

    The caller has just checked password or passkey again; `method` says which. The sign-off
    names the latest heads that are competent in a row. Signing twice gives the same row.
    Raises `AssessmentError` listing what is missing.
    """
    if assessor == apprentice:
        raise AssessmentError("Nobody signs themselves off.")
    if not rules.may_assess(assessor, academy, apprentice):
        raise AssessmentError("Only an assessor of this academy can sign off.")
    if ticks.refusal:
        raise AssessmentError(ticks.refusal)
    with transaction.atomic():
        # One writer at a time from here, so that a double submit finds the first one's row.
        ModuleVersion.objects.select_for_update().get(pk=version.pk)
        # The heads are held too, so that none is withdrawn while the sign-off begins to name it.
        heads = Assessment.objects.filter(apprentice=apprentice, module_version=version)
        list(heads.order_by("pk").select_for_update().values_list("pk"))
        place = place_of(academy, apprentice, version)
        found = _standing_sign_off(place.signed.id if place.signed else None, place.standing)
        if found is not None:
            return found
        missing = [c.sentence for c in conditions(place.evidence, assessor.pk) if not c.met]
        if place.version != version.pk:
            missing.append("The apprentice is on another version of this module.")
        if missing:
            raise AssessmentError("Not yet: " + " ".join(missing))
        row = _write(academy, assessor, apprentice, version, ticks, method)
        named = [head.id for head in place.evidence.run]
        for assessment in named:
            SignOffAssessment.objects.create(sign_off=row, assessment_id=assessment)
        record(
            academy_id=academy.pk,
            actor_id=assessor.pk,
            action="assessment.signoff.given",
            subject=row,
            details={
                "apprentice": apprentice.pk,
                "version": version.pk,
                "assessments": named,
                "method": method,
                "in_date_until": row.in_date_until.isoformat(),
                "rule_set": row.rule_set.number if row.rule_set else 0,
            },
        )
    return row


def verify(
    *,
    sign_off: SignOff,
    verifier: Person,
    result: str,
    text: str = "",
    due_on: date | None = None,
) -> Verification:
    """A verifier upholds a sign-off, asks for action by a day, or overturns it.

    Overturning sets off its consequences above this app in the same transaction, and stands: no
    later decision follows it.
    """
    _check_may_verify(verifier, sign_off)
    for field, sentence in result_errors(result, text, due_on).items():
        raise AssessmentError(sentence, field=field)
    with transaction.atomic():
        if result == Verification.Result.OVERTURNED:
            # No certificate is issued on it and its batch is not closed until this is through.
            hold_academy(sign_off.academy_id)
            hold_plan_of(sign_off)
        hold_sign_off(sign_off.pk)
        _check_may_verify(verifier, sign_off)
        overturned = Verification.Result.OVERTURNED
        if Verification.objects.filter(sign_off=sign_off, result=overturned).exists():
            raise AssessmentError("This sign-off was overturned. It cannot be upheld again.")
        row = Verification.objects.create(
            academy_id=sign_off.academy_id,
            sign_off=sign_off,
            verifier=verifier,
            result=result,
            text=text.strip(),
            due_on=due_on if result == Verification.Result.ACTION_NEEDED else None,
        )
        if result == Verification.Result.OVERTURNED:
            consequences.overturned(sign_off, row)
        record(
            academy_id=sign_off.academy_id,
            actor_id=verifier.pk,
            action=f"assessment.signoff.{result}",
            subject=sign_off,
            details={
                "apprentice": sign_off.apprentice_id,
                "verification": row.pk,
                "due_on": row.due_on.isoformat() if row.due_on else None,
            },
        )
    return row


def _check_may_verify(verifier: Person, sign_off: SignOff) -> None:
    if not rules.may_verify(verifier, sign_off):
        raise AssessmentError(
            "Nobody verifies a decision they had a part in. The manager names another verifier."
        )


def _standing_sign_off(pk: int | None, standing: Standing) -> SignOff | None:
    """A sign-off that is in date already; an expired one may be followed by a new one."""
    if pk is None or standing is Standing.EXPIRED:
        return None
    return SignOff.objects.get(pk=pk)


def _write(
    academy: Academy,
    assessor: Person,
    apprentice: Person,
    version: ModuleVersion,
    ticks: Ticks,
    method: str,
) -> SignOff:
    return SignOff.objects.create(
        academy=academy,
        apprentice=apprentice,
        module_version=version,
        assessor=assessor,
        rule_set=current_rule_set(academy),
        method=method,
        valid=ticks.valid,
        sufficient=ticks.sufficient,
        authentic=ticks.authentic,
        current=ticks.current,
        in_date_until=in_date_until(timezone.localdate(), version.months_valid),
    )


def result_errors(result: str, text: str, due_on: date | None) -> dict[str, str]:
    """What a decision still lacks: the sentence for each field at fault."""
    if result not in Verification.Result.values:
        return {"result": "Choose upheld, action needed or overturned."}
    found = {}
    if result != Verification.Result.UPHELD and not text.strip():
        found["text"] = "Say what is to be done, or why it cannot stand. The assessor reads this."
    if result == Verification.Result.ACTION_NEEDED:
        if due_on is None:
            found["due_on"] = "Give the day by which it is done."
        elif due_on < timezone.localdate():
            found["due_on"] = "This day is past. Give a later one."
    return found
