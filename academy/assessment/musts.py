"""Which sign-offs a verifier must look at, whatever a sample draws (trade.md 5.4)."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import OuterRef, Subquery

from academy.assessment.models import (
    Appeal,
    Assessment,
    Ruling,
    SampledDecision,
    SignOff,
    SignOffAssessment,
    Verification,
)
from academy.curriculum.house import rules_today

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.assessment.models import AssessmentQuerySet
    from academy.people.models import Academy

Why = SampledDecision.Why
Pair = tuple[int, int]


@dataclass(frozen=True)
class Musts:
    """What the answer hangs on, for a whole academy. Eight queries, however many sign-offs.

    `early` are the first sign-offs of each assessor; `overturned` holds by (apprentice, module)
    the sign-offs that were overturned, `appealed` the heads that were appealed about; `named`
    the heads by sign-off; `amended` the heads that took the place of a withdrawn one, with its
    levels or not, or on which a verifier ruled.
    """

    early: frozenset[int]
    overturned: Mapping[Pair, list[int]]
    appealed: Mapping[Pair, list[int]]
    named: Mapping[int, list[int]]
    amended: frozenset[int]

    @classmethod
    def of(cls, academy: Academy) -> Musts:
        here = SignOff.objects.filter(academy=academy)
        heads = Assessment.objects.filter(academy=academy)
        first = int(rules_today(academy).number("judging", what="first_signoffs_checked"))
        by_assessor: dict[int, list[int]] = defaultdict(list)
        for pk, assessor in here.order_by("signed_at", "pk").values_list("pk", "assessor"):
            by_assessor[assessor].append(pk)
        overturned: dict[Pair, list[int]] = defaultdict(list)
        result = Verification.Result.OVERTURNED
        for person, module, pk in Verification.objects.filter(
            academy=academy, result=result
        ).values_list("sign_off__apprentice", "sign_off__module_version__module", "sign_off"):
            overturned[person, module].append(pk)
        appealed: dict[Pair, list[int]] = defaultdict(list)
        for person, module, pk in Appeal.objects.filter(
            academy=academy, withdrawal__isnull=True
        ).values_list("apprentice", "assessment__module_version__module", "assessment"):
            appealed[person, module].append(pk)
        named: dict[int, list[int]] = defaultdict(list)
        for sign_off, head in SignOffAssessment.objects.filter(
            sign_off__academy=academy
        ).values_list("sign_off", "assessment"):
            named[sign_off].append(head)
        amended = set(heads.filter(again_of__isnull=False).values_list("pk", flat=True))
        amended |= _in_place_of_withdrawn(heads)
        amended |= set(
            Ruling.objects.filter(first__academy=academy).values_list("first", flat=True)
        )
        return cls(
            early=frozenset(pk for rows in by_assessor.values() for pk in rows[:first]),
            overturned=overturned,
            appealed=appealed,
            named=named,
            amended=frozenset(amended),
        )

    def why(self, row: SignOff) -> str:
        """Why this one must be looked at; empty where it need not. Select `module_version`."""
        place = (row.apprentice_id, row.module_version.module_id)
        heads = self.named.get(row.pk, [])
        if any(pk < row.pk for pk in self.overturned.get(place, [])):
            return Why.REPLACEMENT
        if any(head >= about for about in self.appealed.get(place, []) for head in heads):
            return Why.AFTER_APPEAL
        if self.amended & set(heads):
            return Why.AMENDED
        if row.pk in self.early:
            return Why.NEW_ASSESSOR
        return ""


def _in_place_of_withdrawn(heads: AssessmentQuerySet) -> set[int]:
    """The next head in the module after each withdrawn one that was not begun again."""
    following = (
        heads.counting()
        .filter(
            kind=Assessment.Kind.FIRST,
            apprentice=OuterRef("apprentice"),
            module_version__module=OuterRef("module_version__module"),
            submitted_at__gt=OuterRef("submitted_at"),
        )
        .order_by("submitted_at", "pk")
    )
    withdrawn = heads.filter(withdrawal__isnull=False, again__isnull=True)
    found = withdrawn.annotate(next=Subquery(following.values("pk")[:1]))
    return {pk for pk in found.order_by().values_list("next", flat=True) if pk is not None}
