"""The sample of heads that get a second mark: drawn when a head is begun, told when it stands.

Source: trade.md 5.2 (academy rule). The draw hangs on apprentice, module and the number of the
head only, so that discarding a draft and beginning again draws the same. So does withdrawing a
head, whether the one that takes its place begins with its levels or by the usual form.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, HeadDraw, HeadSamplePlan, SecondAsked
from academy.audit.services import record
from academy.craft.judging.marking import SecondCause
from academy.craft.judging.sampling import falls_in
from academy.craft.measure import shown
from academy.curriculum.house import rules_today

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from academy.assessment.models import AssessmentQuerySet
    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class SampleRules:
    """The shares, in %, between which the house rules let a sample be set, and the usual one."""

    lowest: Decimal
    highest: Decimal
    usual: Decimal

    @classmethod
    def of(cls, academy: Academy) -> SampleRules:
        """One query."""
        rules = rules_today(academy)
        lowest = rules.number("judging", what="second_sample_lowest")
        highest = rules.number("judging", what="second_sample_highest")
        usual = rules.number("judging", what="second_sample_percent")
        return cls(lowest, highest, min(max(usual, lowest), highest))

    @property
    def words(self) -> str:
        """For example "10 to 20 %"."""
        if self.lowest == self.highest:
            return f"{shown(self.lowest)} %"
        return f"{shown(self.lowest)} to {shown(self.highest)} %"

    def allow(self, percent: Decimal) -> bool:
        """Whether a sample of this share may be set; 0 ends it."""
        return percent == 0 or self.lowest <= percent <= self.highest


def plan_head_sample(*, academy: Academy, by: Person, percent: Decimal, seed: int) -> None:
    """From now on this share of heads is drawn for a second mark; 0 ends it.

    Raises `AssessmentError` for a share outside what the house rules of today give. Heads that were
    begun before keep their draw, or stay without one.
    """
    if not rules.may_sample(by, academy):
        raise AssessmentError("Only a verifier of this academy sets the sample of heads.")
    limits = SampleRules.of(academy)
    if not limits.allow(percent):
        raise AssessmentError(
            f"The house rules let {limits.words} of heads be drawn, for example "
            f"{shown(limits.usual)} %; 0 ends the sample.",
            field="percent",
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
    """Draw, or not, for a head that is just being begun; nothing without a plan.

    What takes the place of a withdrawn head keeps its draw, which was told once that was submitted.
    """
    if assessment.kind != Assessment.Kind.FIRST:
        return
    module = assessment.module_version.module_id
    heads = Assessment.objects.filter(
        apprentice_id=assessment.apprentice_id,
        module_version__module=module,
        kind=Assessment.Kind.FIRST,
        state=Assessment.State.SUBMITTED,
    )
    told = _left_by_withdrawn(heads)
    if told is not None:
        HeadDraw.objects.create(
            assessment=assessment, plan_id=told.plan_id, place=told.place, drawn=told.drawn
        )
        return
    plan = HeadSamplePlan.objects.filter(academy_id=assessment.academy_id).first()
    if plan is None or plan.percent == 0:
        return
    before = heads.filter(withdrawal__isnull=True).count()
    place = f"{assessment.apprentice_id}:{module}:{before + 1}"
    HeadDraw.objects.create(
        assessment=assessment,
        plan=plan,
        place=place,
        drawn=falls_in(plan.seed, place, plan.percent),
    )


def _left_by_withdrawn(heads: AssessmentQuerySet) -> HeadDraw | None:
    """The draw of a withdrawn one of these whose place none that counts has taken."""
    draws = HeadDraw.objects.filter(assessment__in=heads.order_by())
    taken = draws.filter(assessment__withdrawal__isnull=True)
    left = draws.filter(assessment__withdrawal__isnull=False)
    left = left.exclude(place__in=taken.values("place"))
    return left.order_by("-assessment__submitted_at", "-pk").first()


def causes_given(assessment: Assessment) -> Sequence[SecondCause]:
    """What asked for a second mark before this one is submitted: the sample, the assessor."""
    found = []
    if HeadDraw.objects.filter(assessment=assessment, drawn=True).exists():
        found.append(SecondCause.SAMPLE)
    if SecondAsked.objects.filter(assessment=assessment, cause=SecondAsked.Cause.REQUEST).exists():
        found.append(SecondCause.REQUEST)
    return found
