"""The whole clock of a planned head: each foil, each parting, the roots, and one rinse.

Foils are closed one after another at a steady pace, so each has its own clock: the first one
reaches the ceiling, the last one is ready last. The sums are those of ``TwoProcess``. Nothing here
goes past a ceiling, and a ceiling typed in is no more than what the product label says: the label
is read first and counts, whatever a plan comes to. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.craft.timing.errors import TimingError
from academy.craft.timing.head_advice import advice_of, cautions_of
from academy.craft.timing.head_events import ClockEvent, events_of
from academy.craft.timing.head_rows import (
    ClockedFoil,
    ClockedParting,
    Exposure,
    Extension,
    RootParting,
)
from academy.craft.timing.head_settings import ClockSettings, LaidFoil, RootColour
from academy.craft.timing.telling import told_foils, told_limit, told_minutes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from decimal import Decimal

    from academy.craft.timing.two_process import TwoProcess

__all__ = [
    "ClockSettings",
    "ClockedFoil",
    "ClockedParting",
    "Exposure",
    "Extension",
    "HeadClock",
    "LaidFoil",
    "RootColour",
    "RootParting",
    "head_clock",
]


@dataclass(frozen=True)
class HeadClock:
    """Every time of one head. Made by ``head_clock``.

    ``sums`` holds the times of the whole; without roots those of its roots mean nothing, so they
    are None here.
    """

    settings: ClockSettings
    foils: tuple[ClockedFoil, ...]
    sums: TwoProcess

    @property
    def first(self) -> ClockedFoil:
        """The foil closed first: it has the ceiling."""
        return self.foils[0]

    @property
    def last(self) -> ClockedFoil:
        """The foil closed last: it has to be waited for."""
        return self.foils[-1]

    @cached_property
    def partings(self) -> tuple[ClockedParting, ...]:
        """The partings with foils, in the order in which they are begun."""
        found: dict[int, list[ClockedFoil]] = {}
        for foil in self.foils:
            found.setdefault(foil.foil.parting, []).append(foil)
        return tuple(ClockedParting(parting, tuple(foils)) for parting, foils in found.items())

    @cached_property
    def root_partings(self) -> tuple[RootParting, ...]:
        """The partings of the root colour, each as long as the others; none without a count."""
        roots = self.settings.roots
        if roots is None or not roots.partings:
            return ()
        at = [
            self.settings.starts_at + roots.application * k / roots.partings
            for k in range(roots.partings + 1)
        ]
        return tuple(RootParting(k, at[k - 1], at[k]) for k in range(1, len(at)))

    @property
    def root_ends(self) -> Decimal | None:
        """When the root colour is on."""
        return self.sums.root_ends if self.settings.roots else None

    @property
    def root_check(self) -> Decimal | None:
        """When the roots are looked at, near the place applied last."""
        return self.sums.root_check if self.settings.roots else None

    @property
    def root_latest(self) -> Decimal | None:
        """The ceiling of the roots, on the clock."""
        return self.sums.root_latest if self.settings.roots else None

    @property
    def foil_check(self) -> Decimal:
        """The first look at the foil closed first."""
        return self.sums.foil_check

    @property
    def foils_ready(self) -> Decimal:
        """When the last foil has had its least."""
        return self.sums.foils_ready

    @property
    def foil_ceiling(self) -> Decimal:
        """The ceiling of the first foil, on the clock."""
        return self.sums.foil_ceiling

    @property
    def earliest(self) -> Decimal:
        """From when on all could be rinsed together."""
        return self.sums.earliest

    @property
    def latest(self) -> Decimal:
        """Until when all must be rinsed: the ceiling that comes first."""
        return self.sums.latest

    @property
    def window(self) -> Decimal:
        """Minutes between them; below zero where there is no joint rinse."""
        return self.sums.window

    @property
    def possible(self) -> bool:
        """Whether all can be rinsed together within every ceiling."""
        return self.sums.possible

    @property
    def spread(self) -> Decimal:
        """Minutes between the first foil and the last."""
        return self.sums.spread

    def exposure(self, at: Decimal) -> Exposure:
        """What the first and the last foil have had at a clock time."""
        return Exposure(at, self.first.exposure(at), self.last.exposure(at))

    @property
    def at_earliest(self) -> Exposure:
        """Their exposure at the earliest joint rinse."""
        return self.exposure(self.earliest)

    @property
    def at_latest(self) -> Exposure:
        """Their exposure at the latest joint rinse."""
        return self.exposure(self.latest)

    def extended(self, by: Decimal) -> Extension:
        """What so many minutes after the earliest joint rinse do, to foils and roots alike.

        ``TwoProcess.extended`` answers the narrower question how far the roots' own need moves
        the rinse. ``TimingError`` below zero.
        """
        if by < 0:
            raise TimingError("Put the rinse off by some minutes, for example 5.")
        rinse = self.earliest + by
        past = tuple(foil.number for foil in self.foils if rinse > foil.out_by)
        roots_past = self.root_latest is not None and rinse > self.root_latest
        said = self._said(by, past, roots_past=roots_past)
        return Extension(by, rinse, self.first.exposure(rinse), past, roots_past, said)

    def _said(self, by: Decimal, past: tuple[int, ...], *, roots_past: bool) -> str:
        ceiling = told_minutes(self.settings.foil_ceiling_after)
        more, number = told_minutes(by), self.first.number
        had = told_minutes(self.first.exposure(self.earliest + by))
        if not past and not roots_past:
            return f"{more} more takes foil {number} to {had}; its ceiling is {ceiling}."
        why = []
        if past:
            passes = "passes its" if len(past) == 1 else "pass their"
            why.append(f"{told_foils(past)} {passes} ceiling of {ceiling}, foil {number} at {had}")
        if roots_past:
            why.append(f"the roots pass theirs at {told_limit(self.sums.root_latest)}")
        return f"{more} more is too long: {'; '.join(why)}."

    @cached_property
    def events(self) -> tuple[ClockEvent, ...]:
        """What happens and what is looked at, in the order of the clock."""
        return events_of(self)

    @cached_property
    def advice(self) -> tuple[str, ...]:
        """Where all fits, what is left in reserve; where not, what would have to change."""
        return advice_of(self)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to read beside every such plan."""
        return cautions_of(self)


def head_clock(foils: Sequence[LaidFoil], settings: ClockSettings) -> HeadClock:
    """The clock of these foils in laying order; ``TimingError`` without foils or with one twice."""
    if not foils:
        raise TimingError("This pattern lays no foils. Choose one that does, for example diamond.")
    if len({foil.number for foil in foils}) < len(foils):
        raise TimingError("Two foils have the same number. Number them 1, 2, 3 in laying order.")
    sums = settings.sums(len(foils))
    clocked = []
    for place, foil in enumerate(foils):
        begun = sums.foils_start + settings.pace * place
        closed = begun + settings.pace
        ready, out_by = closed + settings.foil_least, closed + settings.foil_ceiling_after
        clocked.append(ClockedFoil(foil, begun, closed, ready, out_by))
    return HeadClock(settings, tuple(clocked), sums)
