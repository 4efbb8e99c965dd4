"""The sample of heads that get a second mark: drawn when a head is begun, told when it stands.

Source: trade.md 5.2 (academy rule). The draw hangs on apprentice, module and the number of the
head only, so that discarding a draft and beginning again draws the same.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, HeadDraw, HeadSamplePlan, SecondAsked
from academy.audit.services import record
from academy.craft.judging.marking import SecondCause
from academy.craft.judging.sampling import falls_in
from academy.curriculum.house import rules_today

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.people.models import Academy, Person


def usual_percent(academy: Academy) -> Decimal:
    """The share that the house rules give."""
    return rules_today(academy).number("judging", what="second_sample_percent")


def plan_head_sample(*, academy: Academy, by: Person, percent: Decimal, seed: int) -> None:
    """From now on this share of heads is drawn for a second mark; 0 ends it.

    Heads that were begun before keep their draw, or stay without one.
    """
    if not rules.may_sample(by, academy):
        raise AssessmentError("Only a verifier of this academy sets the sample of heads.")
    lowest, highest = Decimal(10), Decimal(20)
    if percent != 0 and not lowest <= percent <= highest:
        raise AssessmentError(
            "Draw 10 to 20 % of heads, for example 12 %; 0 ends the sample.", field="percent"
        )
    with transaction.atomic():
        plan = HeadSamplePlan.objects.create(
            academy=academy, percent=percent, seed=seed, made_by=by
        )
        record(
            academy_id=academy.pk,
            actor_id=by.pk,
            action="assessment.headsample.set",
            subject=plan,
            details={"percent": str(percent)},
        )


def draw_head(assessment: Assessment) -> None:
    """Draw, or not, for a head that is just being begun; nothing without a plan."""
    if assessment.kind != Assessment.Kind.FIRST:
        return
    plan = HeadSamplePlan.objects.filter(academy_id=assessment.academy_id).first()
    if plan is None or plan.percent == 0:
        return
    module = assessment.module_version.module_id
    before = Assessment.objects.filter(
        apprentice_id=assessment.apprentice_id,
        module_version__module=module,
        kind=Assessment.Kind.FIRST,
        state=Assessment.State.SUBMITTED,
    ).count()
    place = f"{assessment.apprentice_id}:{module}:{before + 1}"
    HeadDraw.objects.create(
        assessment=assessment,
        plan=plan,
        place=place,
        drawn=falls_in(plan.seed, place, plan.percent),
    )


def causes_given(assessment: Assessment) -> Sequence[SecondCause]:
    """What asked for a second mark before this one is submitted: the sample, the assessor."""
    found = []
    if HeadDraw.objects.filter(assessment=assessment, drawn=True).exists():
        found.append(SecondCause.SAMPLE)
    if SecondAsked.objects.filter(assessment=assessment, cause=SecondAsked.Cause.REQUEST).exists():
        found.append(SecondCause.REQUEST)
    return found
