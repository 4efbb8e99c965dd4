"""Sign-offs that wait for a verifier, and why."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.models import SignOff, Verification
from academy.curriculum.house import rules_today
from academy.people.models import Role, held_roles_of

if TYPE_CHECKING:
    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class Waiting:
    """A sign-off without a closed verification.

    `why` says what makes it a must, empty for one that may be looked at. `may` is False where
    this person had a part in it.
    """

    sign_off: SignOff
    why: str
    may: bool
    action: Verification | None = None

    @property
    def must(self) -> bool:
        return bool(self.why)


def waiting_for(academy: Academy, person: Person) -> list[Waiting]:
    """Everything not yet upheld or overturned, what must be looked at first. Fixed queries."""
    is_verifier = Role.VERIFIER in held_roles_of(person, academy)
    early = _first_of_each_assessor(academy)
    rows = (
        SignOff.objects.filter(academy=academy)
        .select_related("apprentice", "assessor", "module_version__module", "sampled__plan")
        .prefetch_related("verifications", "assessments")
        .order_by("signed_at")
    )
    found = []
    for row in rows:
        newest = next(iter(row.verifications.all()), None)
        if newest is not None and newest.result != Verification.Result.ACTION_NEEDED:
            continue
        sampled = getattr(row, "sampled", None)
        if newest is None and sampled is not None and sampled.plan.closed_at is not None:
            continue
        involved = {row.assessor_id, row.apprentice_id}
        involved |= {assessment.assessor_id for assessment in row.assessments.all()}
        may = is_verifier and person.pk not in involved
        found.append(Waiting(row, _why(row, newest, early), may, newest))
    return sorted(found, key=lambda waiting: (not waiting.must, waiting.sign_off.signed_at))


def _first_of_each_assessor(academy: Academy) -> set[int]:
    """The first sign-offs of every assessor, which are always looked at (trade.md 5.4)."""
    count = int(rules_today(academy).number("judging", what="first_signoffs_checked"))
    by_assessor: dict[int, list[int]] = defaultdict(list)
    rows = SignOff.objects.filter(academy=academy).order_by("signed_at", "pk")
    for pk, assessor in rows.values_list("pk", "assessor"):
        by_assessor[assessor].append(pk)
    return {pk for rows in by_assessor.values() for pk in rows[:count]}


def _why(row: SignOff, newest: Verification | None, early: set[int]) -> str:
    if newest is not None:
        return "action asked for"
    sampled = getattr(row, "sampled", None)
    if sampled is not None and sampled.why:
        return str(sampled.get_why_display())
    if row.pk in early:
        return "among this assessor's first sign-offs"
    return ""
