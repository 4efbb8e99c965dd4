"""Sign-offs that wait for a verifier, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import OuterRef, Subquery

from academy.assessment import rules
from academy.assessment.models import (
    SampledDecision,
    SignOff,
    Verification,
    VerifierNamed,
)
from academy.assessment.musts import Musts
from academy.people.models import Role, held_roles_of

if TYPE_CHECKING:
    from academy.people.models import Academy, Person

FIRST_OF_ASSESSOR = "among this assessor's first sign-offs"


@dataclass(frozen=True)
class Waiting:
    """A sign-off without a closed verification.

    `why` says what makes it a must, empty for one that may be looked at. `may` is False where
    this person may not verify it, and `why_not` says why; `own` where they had a part in it.
    `action` is what was asked for and is open.
    """

    sign_off: SignOff
    why: str
    may: bool
    action: Verification | None = None
    why_not: str = ""
    named: VerifierNamed | None = None
    own: bool = False

    @property
    def must(self) -> bool:
        return bool(self.why)

    @property
    def answered(self) -> bool:
        """Whether the action was answered, so that the verifier looks again."""
        return self.action is not None and hasattr(self.action, "answer")


def waiting_for(academy: Academy, person: Person) -> list[Waiting]:
    """Everything not yet upheld or overturned, what must be looked at first. Fixed queries."""
    is_verifier = Role.VERIFIER in held_roles_of(person, academy)
    musts = Musts.of(academy)
    rows = (
        SignOff.objects.filter(academy=academy)
        .select_related(
            "apprentice", "assessor", "module_version__module", "sampled__plan", "sampled__added"
        )
        .prefetch_related("verifications__answer", "named_verifiers__verifier", *rules.PARTS)
        .order_by("signed_at", "pk")
    )
    found = []
    for row in rows:
        newest = next(iter(row.verifications.all()), None)
        if newest is not None and newest.result != Verification.Result.ACTION_NEEDED:
            continue
        sampled = getattr(row, "sampled", None)
        if newest is None and sampled is not None and _cleared(sampled):
            continue
        refusal = why_not(person, row) or ("" if is_verifier else "a verifier looks at it")
        why = _why(row, newest, sampled, musts)
        own = rules.had_a_part(person, row)
        found.append(Waiting(row, why, not refusal, newest, refusal, _named(row), own))
    return sorted(found, key=lambda waiting: (not waiting.must, waiting.sign_off.signed_at))


def _cleared(sampled: SampledDecision) -> bool:
    """Whether the batch was closed over it; what was added to it afterwards was not."""
    closed = sampled.plan.closed_at
    added = getattr(sampled, "added", None)
    return closed is not None and (added is None or added.at <= closed)


def why_not(person: Person, sign_off: SignOff) -> str:
    """Why this verifier may not look at it: their own work, or another was named. Empty: may.

    Prefetch `named_verifiers__verifier` and `rules.PARTS` for lists.
    """
    named = _named(sign_off)
    if rules.had_a_part(person, sign_off):
        who = f"; {named.verifier} verifies it" if named else "; a manager names another verifier"
        return f"you had a part in it{who}"
    if named is not None and named.verifier_id != person.pk:
        return f"{named.verifier} was named to verify it"
    return ""


def _named(sign_off: SignOff) -> VerifierNamed | None:
    """Whom a manager named last."""
    return next(iter(sign_off.named_verifiers.all()), None)


def _why(
    row: SignOff, newest: Verification | None, sampled: SampledDecision | None, musts: Musts
) -> str:
    if newest is not None:
        return "action answered" if hasattr(newest, "answer") else "action asked for"
    if sampled is not None and sampled.why_words:
        return sampled.why_words
    found = musts.why(row)
    if found == SampledDecision.Why.NEW_ASSESSOR:
        return FIRST_OF_ASSESSOR
    return str(SampledDecision.Why(found).label) if found else ""


def actions_asked_of(academy: Academy, assessor: Person) -> list[Verification]:
    """Actions on this assessor's sign-offs that nobody has answered, the next due first."""
    newest = (
        Verification.objects.filter(sign_off=OuterRef("sign_off"))
        .order_by("-at", "-pk")
        .values("pk")[:1]
    )
    rows = Verification.objects.filter(
        academy=academy,
        sign_off__assessor=assessor,
        result=Verification.Result.ACTION_NEEDED,
        answer__isnull=True,
        pk=Subquery(newest),
    )
    return list(
        rows.select_related("sign_off__apprentice", "sign_off__module_version").order_by("due_on")
    )
