"""What is still missing in a draft: levels and the rating, with where they are given."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.marking import marking_of
from academy.craft.head.zones import Zone
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import missing

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.assessment.editions import Edition
    from academy.assessment.models import Assessment


@dataclass(frozen=True)
class Gap:
    """One place without a level, or the rating (criterion empty)."""

    criterion: str
    title: str
    zone: str

    @property
    def anchor(self) -> str:
        """The row of the page where it is filled."""
        return f"crit-{self.place}" if self.criterion else "overall"

    @property
    def place(self) -> str:
        """Criterion and zone, as a row of the page has it; empty for the rating."""
        return f"{self.criterion}-{self.zone}" if self.criterion else ""


def gaps_of(assessment: Assessment, edition: Edition) -> list[Gap]:
    """Everything still missing, in the order of the zones; levels of the head, then the rating."""
    titles = {criterion.code: criterion.title for criterion in edition.criteria}
    try:
        places = missing(marking_of(assessment))
    except JudgingError:
        # Every zone left out: the page says so.
        places = []
    order = {zone.value: index for index, zone in enumerate(edition.judged)}
    found = [Gap(code, titles[code], zone or "") for code, zone in places]
    found.sort(key=lambda gap: order.get(gap.zone, len(order)))
    if assessment.overall is None:
        found.append(Gap("", "overall rating", ""))
    return found


def told_by_place(gaps: Iterable[Gap]) -> str:
    """How many are missing where: "crown 2 · right side 3 · whole head 1"."""
    counts = Counter(_where(gap) for gap in gaps)
    return " · ".join(f"{where} {count}" for where, count in counts.items())


def _where(gap: Gap) -> str:
    if not gap.criterion:
        return "overall rating"
    return Zone(gap.zone).words if gap.zone else "whole head"
