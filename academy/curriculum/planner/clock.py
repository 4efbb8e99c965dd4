"""The clock of a plan as the planner shows it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from academy.craft.measure import shown
from academy.craft.timing.telling import told, told_foils, told_limit
from academy.craft.timing.timeline_svg import timeline_svg
from academy.curriculum.plan_figures import Figure

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.timing.head_clock import HeadClock


class PartingLine(NamedTuple):
    """One parting as a row of the clock."""

    foils: str
    where: str
    first: str
    last: str
    out_by: str


@dataclass(frozen=True)
class PlannedClock:
    """When each foil goes in and comes out. `more` are the minutes of one extension."""

    times: HeadClock
    more: Decimal

    @cached_property
    def timeline(self) -> SafeString:
        """The clock as a drawing."""
        return mark_safe(timeline_svg(self.times))  # noqa: S308  (our own drawing)

    @property
    def exposures(self) -> list[Figure]:
        """What the first and the last foil have had at the earliest and the latest joint rinse."""
        between = _("Between the first foil and the last")
        lines = [Figure(between, shown(self.times.spread, 1), "min")]
        if not self.times.possible:
            return lines
        for words, had in (
            (_("Earliest joint rinse"), self.times.at_earliest),
            (_("Latest joint rinse"), self.times.at_latest),
        ):
            lines += [
                Figure(words, told(had.at)),
                Figure(_("First foil by then"), shown(had.first, 1), "min"),
                Figure(_("Last foil by then"), shown(had.last, 1), "min"),
            ]
        return lines

    @property
    def verdict(self) -> str:
        """Whether all can be rinsed together, in a sentence."""
        return self.times.advice[0]

    @property
    def advice(self) -> tuple[str, ...]:
        """What one extension does, where there is a joint rinse to put off, and what to change."""
        more = (self.times.extended(self.more).sentence,) if self.times.possible else ()
        return (*more, *self.times.advice[1:])

    @property
    def partings(self) -> list[PartingLine]:
        """Each parting with foils, on the clock."""
        return [
            PartingLine(
                told_foils(row.numbers),
                row.where,
                told(row.first_closed),
                told(row.last_closed),
                told_limit(row.foils[0].out_by),
            )
            for row in self.times.partings
        ]
