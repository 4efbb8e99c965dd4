"""Which decisions must I look at, and do our assessors agree?"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.models import Assessment, Verification
from academy.assessment.standardising import FeedbackMean, feedback_means
from academy.assessment.verifying import Waiting, waiting_for
from academy.craft.judging.readiness import wilson_interval
from academy.craft.measure import counted
from academy.reports.today.after import verifier_needs

if TYPE_CHECKING:
    from academy.people.acting import Acting
    from academy.reports.today.need import Need

FEWEST_PAIRS = 5


@dataclass(frozen=True)
class Agreement:
    """Two assessors and how often their second look came to the same."""

    names: str
    pairs: int
    same: int

    @property
    def word(self) -> str:
        if self.pairs < FEWEST_PAIRS:
            return "Too few to say"
        share = self.same / self.pairs
        return "Agree" if share >= 0.9 else "Mostly agree" if share >= 0.75 else "Differ"

    @property
    def interval(self) -> str:
        """Where the true share plausibly lies (Wilson, 95 %)."""
        found = wilson_interval(self.same, self.pairs)
        return f"{round(100 * found.low)}–{round(100 * found.high)} %"


@dataclass(frozen=True)
class Page:
    waiting: list[Waiting]
    rulings: list[Assessment]
    agreements: list[Agreement]
    overall: Agreement | None
    low_feedback: list[FeedbackMean]
    appeals: list[Need]

    @property
    def actions(self) -> list[Verification]:
        """What verifiers asked for and nobody has answered, the next due first."""
        found = [row.action for row in self.waiting if row.action]
        return sorted(found, key=lambda action: action.due_on or timezone.localdate())

    @property
    def must(self) -> list[Waiting]:
        return [row for row in self.waiting if row.must and row.may]

    @property
    def answer(self) -> str:
        """The heading: how many decisions wait."""
        count = len(self.must)
        if count:
            return f"{counted(count, 'decision')} you must look at"
        mine = sum(row.may for row in self.waiting)
        return (
            f"{counted(mine, 'decision')} may be looked at" if mine else "No decision waits for you"
        )

    @property
    def lead(self) -> str:
        parts = []
        if self.rulings:
            parts.append(f"{counted(len(self.rulings), 'pair')} of marks disagree.")
        if self.appeals:
            parts.append(f"{counted(len(self.appeals), 'appeal')} open.")
        late = sum(bool(a.due_on and a.due_on < timezone.localdate()) for a in self.actions)
        if self.actions:
            parts.append(f"{counted(len(self.actions), 'action')} open, {late} late.")
        return " ".join(parts)


def page(acting: Acting) -> Page:
    academy = acting.academy
    pairs = _pairs(acting)
    found = _agreements(pairs)
    total = sum(row.pairs for row in found)
    overall = Agreement("All assessors", total, sum(row.same for row in found)) if total else None
    return Page(
        waiting=waiting_for(academy, acting.person),
        rulings=[first for first, second in pairs if _differ(first, second) and _unruled(first)],
        agreements=found,
        overall=overall,
        low_feedback=[row for row in feedback_means(academy) if row.low],
        appeals=verifier_needs(acting),
    )


def _pairs(acting: Acting) -> list[tuple[Assessment, Assessment]]:
    """First and second mark of every head but the reader's own: they do not read who looked."""
    seconds = (
        Assessment.objects.counting()
        .filter(academy=acting.academy, kind=Assessment.Kind.SECOND)
        .exclude(apprentice=acting.person)
        .select_related(
            "outcome",
            "assessor",
            "second_of__outcome",
            "second_of__assessor",
            "second_of__apprentice",
            "second_of__module_version",
            "second_of__ruling",
        )
    )
    return [(row.second_of, row) for row in seconds if row.second_of is not None]


def _differ(first: Assessment, second: Assessment) -> bool:
    return first.outcome.by_marks != second.outcome.by_marks


def _unruled(first: Assessment) -> bool:
    return getattr(first, "ruling", None) is None


def _agreements(pairs: list[tuple[Assessment, Assessment]]) -> list[Agreement]:
    count: Counter[str] = Counter()
    same: Counter[str] = Counter()
    for first, second in pairs:
        names = " and ".join(sorted((first.assessor.name, second.assessor.name)))
        count[names] += 1
        same[names] += not _differ(first, second)
    return [Agreement(names, count[names], same[names]) for names in sorted(count)]
