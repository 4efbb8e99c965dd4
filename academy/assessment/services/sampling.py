"""Sample plans: a batch of sign-offs, of which a promised number is drawn for verification.

Source: trade.md 5.4 (academy rule); the number comes from `craft.judging.sampling`.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    AddedDecision,
    SampledDecision,
    SamplePlan,
    SignOff,
    Verification,
)
from academy.assessment.musts import Musts
from academy.assessment.services.holding import hold_academy, hold_plan
from academy.audit.services import record
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.sampling import sample_size
from academy.craft.measure import counted
from academy.people.models import CohortPlace

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Sequence
    from datetime import date
    from decimal import Decimal

    from academy.people.models import Academy, Cohort, Person

Why = SampledDecision.Why
OWN = "You had a part in a decision of this batch."


@dataclass(frozen=True)
class Promise:
    """How sure to be (`confidence`) that fewer than a share (`rate`) is wrong, both 0 to 1."""

    rate: Decimal
    confidence: Decimal


@dataclass(frozen=True)
class Batch:
    """The sign-offs of these days, of one cohort where one is named."""

    name: str
    first_day: date
    last_day: date
    cohort: Cohort | None = None


def draw(seed: int, groups: Sequence[Collection[Hashable]], size: int) -> tuple[set[int], set[int]]:
    """Places drawn at random, and those added until everybody appears.

    `groups` names for each decision what must appear: its assessor, module and cohort. The same
    seed draws the same places on every machine.
    """
    dice = Random(seed)  # noqa: S311 - a sample that anybody can draw again, no secret
    order = sorted(range(len(groups)), key=[dice.random() for _ in groups].__getitem__)
    drawn, added = set(order[:size]), set[int]()
    seen = {name for place in drawn for name in groups[place]}
    for place in order[size:]:
        if not set(groups[place]) <= seen:
            added.add(place)
            seen |= set(groups[place])
    return drawn, added


def open_sample_plan(
    *,
    academy: Academy,
    by: Person,
    batch: Batch,
    promise: Promise,
    seed: int,
    new_assessors: Collection[Person] = (),
) -> SamplePlan:
    """Put the sign-offs that lie in no batch yet into this one, and draw the sample.

    The first sign-offs of `new_assessors`, what replaces an overturned decision, and what rests
    on a head after an appeal, a withdrawal or a ruling are looked at in any case; the sample is
    drawn from the others. Refused to who had a part in one of them: the days are theirs to choose.
    """
    if not rules.may_sample(by, academy):
        raise AssessmentError("Only a verifier of this academy draws a sample.")
    if not batch.name.strip():
        raise AssessmentError("Give the batch a name, for example the quarter.", field="name")
    if batch.last_day < batch.first_day:
        raise AssessmentError("The last day lies before the first.", field="last_day")
    with transaction.atomic():
        # Held until the end, so that no sign-off comes into two batches.
        hold_academy(academy.pk)
        rows = _outside(academy, batch)
        if not rows:
            raise AssessmentError("No sign-off of these days lies outside a batch.")
        if rules.had_a_part_in_any(by, SignOff.objects.filter(pk__in=[row.pk for row in rows])):
            raise AssessmentError(f"{OWN} Another verifier draws it.")
        why = _musts(academy, rows, new_assessors)
        others = [row for row in rows if row.pk not in why]
        size = _size(len(others), promise)
        drawn, added = draw(seed, _groups(others), size)
        why |= {others[place].pk: Why.RANDOM for place in drawn}
        why |= {others[place].pk: Why.COVERAGE for place in added}
        plan = SamplePlan.objects.create(
            academy=academy,
            name=batch.name.strip(),
            first_day=batch.first_day,
            last_day=batch.last_day,
            seed=seed,
            rate=promise.rate,
            confidence=promise.confidence,
            population=len(others),
            cohort=batch.cohort,
            made_by=by,
        )
        SampledDecision.objects.bulk_create(
            SampledDecision(plan=plan, sign_off=row, why=why.get(row.pk, Why.NOT_DRAWN))
            for row in rows
        )
        record(
            academy_id=academy.pk,
            actor_id=by.pk,
            action="assessment.sample.opened",
            subject=plan,
            details={
                "count": len(rows),
                "drawn": size,
                "added": len(added),
                "seed": str(seed),
                "rate": str(promise.rate),
                "confidence": str(promise.confidence),
            },
        )
    return plan


def close_sample_plan(*, plan: SamplePlan, by: Person) -> SamplePlan:
    """Close a batch: all that was drawn is looked at and no action is open.

    Its sign-offs then count as verified, also those that were not drawn; so nobody closes a batch
    who had a part in one of them.
    """
    if not rules.may_sample(by, plan.academy):
        raise AssessmentError("Only a verifier of this academy closes a sample.")
    if not rules.may_close_sample(by, plan):
        raise AssessmentError(f"{OWN} Another verifier closes it.")
    with transaction.atomic():
        held = hold_plan(plan)
        if held.closed_at is not None:
            return held
        left = still_open(held)
        if left:
            raise AssessmentError(
                f"Of this batch {left} still to be looked at or with an open action. "
                "Look at these first."
            )
        held.closed_at = timezone.now()
        held.save(update_fields=["closed_at"])
        record(
            academy_id=plan.academy_id,
            actor_id=by.pk,
            action="assessment.sample.closed",
            subject=held,
            details={"count": held.decisions.count()},
        )
    return held


def still_open(plan: SamplePlan) -> int:
    """How many decisions to look at have no verification yet, or an action that is open."""
    return sum(needs_a_look(row) for row in looked_at(plan))


def looked_at(plan: SamplePlan) -> list[SampledDecision]:
    """The decisions of a batch that were drawn or added. Two queries."""
    rows = plan.decisions.exclude(why=Why.NOT_DRAWN, added__isnull=True)
    return list(
        rows.select_related("added").prefetch_related("sign_off__verifications").order_by("pk")
    )


def needs_a_look(row: SampledDecision) -> bool:
    """Not looked at yet, or with an action that is open."""
    newest = next(iter(row.sign_off.verifications.all()), None)
    return newest is None or newest.result == Verification.Result.ACTION_NEEDED


def rest_of_assessor(sign_off: SignOff) -> list[SampledDecision]:
    """What was not drawn of the same assessor's decisions in the batch of this one."""
    sampled = SampledDecision.objects.filter(sign_off=sign_off).first()
    if sampled is None:
        return []
    rows = SampledDecision.objects.filter(plan=sampled.plan_id, why=Why.NOT_DRAWN)
    rest = rows.filter(added__isnull=True, sign_off__assessor=sign_off.assessor_id)
    return list(rest.exclude(pk=sampled.pk).select_related("plan"))


def add_rest(sign_off: SignOff, verification: Verification) -> None:
    """One was overturned: the rest of its assessor's decisions in the batch are looked at."""
    rest = rest_of_assessor(sign_off)
    if not rest:
        return
    AddedDecision.objects.bulk_create(
        AddedDecision(sampled=row, because=verification) for row in rest
    )
    record(
        academy_id=sign_off.academy_id,
        actor_id=verification.verifier_id,
        action="assessment.sample.added",
        subject=rest[0].plan,
        details={"count": len(rest), "verification": verification.pk},
    )


def foretell_rest(sign_off: SignOff) -> list[str]:
    """What overturning this one would add to its batch, in a sentence."""
    rest = rest_of_assessor(sign_off)
    if not rest:
        return []
    count = counted(len(rest), "further decision")
    return [f"{count} of {sign_off.assessor} in “{rest[0].plan}” must be looked at."]


def _outside(academy: Academy, batch: Batch) -> list[SignOff]:
    """The sign-offs of the batch that lie in no other one, in the order of signing."""
    rows = SignOff.objects.filter(academy=academy, sampled__isnull=True)
    if batch.cohort is not None:
        rows = rows.filter(apprentice__cohort_places__cohort=batch.cohort).distinct()
    found = rows.select_related("module_version").order_by("signed_at", "pk")
    return [
        row
        for row in found
        if batch.first_day <= timezone.localdate(row.signed_at) <= batch.last_day
    ]


def _musts(
    academy: Academy, batch: Sequence[SignOff], new_assessors: Collection[Person]
) -> dict[int, str]:
    """Why a sign-off is looked at without being drawn."""
    musts = Musts.of(academy)
    new = {person.pk for person in new_assessors}
    why: dict[int, str] = {}
    for row in batch:
        found = musts.why(row)
        if found == Why.NEW_ASSESSOR and row.assessor_id not in new:
            continue
        if found:
            why[row.pk] = found
    return why


def _size(count: int, promise: Promise) -> int:
    try:
        return sample_size(count, promise.rate, promise.confidence)
    except JudgingError as error:
        raise AssessmentError(str(error)) from error


def _groups(rows: Sequence[SignOff]) -> list[set[Hashable]]:
    """The assessor, the module and the cohorts of each sign-off."""
    cohorts: dict[int, set[Hashable]] = {}
    places = CohortPlace.objects.filter(
        person__in={row.apprentice_id for row in rows},
        cohort__academy__in={row.academy_id for row in rows},
    )
    for person, cohort in places.values_list("person", "cohort"):
        cohorts.setdefault(person, set()).add(("cohort", cohort))
    return [
        {("assessor", row.assessor_id), ("module", row.module_version.module_id)}
        | cohorts.get(row.apprentice_id, set())
        for row in rows
    ]
