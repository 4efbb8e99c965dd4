"""Root colour and foils on one head: two clocks, two ceilings, one rinse.

All times are whole minutes; a clock time is the minutes after midnight. Root colour is applied
first, then gloves and comb are changed, then the foils go in while the roots develop. The roots'
time counts from the end of application unless their label says the start; each foil's time counts
from when it was closed. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Self

from academy.craft.timing.errors import TimingError
from academy.craft.timing.pace import foils_within, minutes_for

if TYPE_CHECKING:
    from decimal import Decimal


_NEVER_BELOW_ZERO = (
    "starts_at",
    "application",
    "root_minutes",
    "root_ceiling",
    "change_over",
    "foil_check_after",
    "foil_least",
    "foil_ceiling_after",
)


class Event(StrEnum):
    """What happens in such a plan, and what its clocks come to."""

    ROOT_STARTS = "root_starts"
    ROOT_ENDS = "root_ends"
    FOILS_START = "foils_start"
    FIRST_CLOSED = "first_closed"
    LAST_CLOSED = "last_closed"
    ROOT_CHECK = "root_check"
    FOIL_CHECK = "foil_check"
    FOILS_READY = "foils_ready"
    ROOT_LATEST = "root_latest"
    FOIL_CEILING = "foil_ceiling"
    EARLIEST = "earliest"
    LATEST = "latest"


@dataclass(frozen=True, slots=True)
class TwoProcess:
    """One plan; ``TimingError`` where a figure is below zero or there is nothing to close.

    ``starts_at`` is when the root colour starts, ``pace`` the minutes a foil. ``foil_check_after``
    and ``foil_ceiling_after`` count from the first foil, ``foil_least`` from the last.
    """

    starts_at: Decimal
    application: Decimal
    root_minutes: Decimal
    root_ceiling: Decimal
    change_over: Decimal
    foils: Decimal
    pace: Decimal
    foil_check_after: Decimal
    foil_least: Decimal
    foil_ceiling_after: Decimal
    from_start: bool = False

    def __post_init__(self) -> None:
        """Refuse what no clock can hold."""
        if self.foils < 1 or self.pace <= 0:
            raise TimingError("Plan at least one foil, and some minutes for each.")
        for name in _NEVER_BELOW_ZERO:
            if getattr(self, name) < 0:
                raise TimingError(f"{_words(name)} cannot be below zero.")

    @property
    def root_ends(self) -> Decimal:
        """Clock time at which the root colour is on."""
        return self.starts_at + self.application

    @property
    def root_counts_from(self) -> Decimal:
        """When the roots' clock starts."""
        return self.starts_at if self.from_start else self.root_ends

    @property
    def root_check(self) -> Decimal:
        """When the roots are looked at."""
        return self.root_counts_from + self.root_minutes

    @property
    def root_latest(self) -> Decimal:
        """The roots' ceiling, on the clock."""
        return self.root_counts_from + self.root_ceiling

    @property
    def foils_start(self) -> Decimal:
        """When the first foil is begun."""
        return self.root_ends + self.change_over

    @property
    def first_closed(self) -> Decimal:
        """When the first foil is closed: the oldest one."""
        return self.foils_start + self.pace

    @property
    def last_closed(self) -> Decimal:
        """When the last foil is closed: the youngest one."""
        return self.foils_start + minutes_for(self.foils, self.pace)

    @property
    def spread(self) -> Decimal:
        """Minutes between the first foil and the last."""
        return minutes_for(self.foils - 1, self.pace)

    @property
    def foil_check(self) -> Decimal:
        """When the first foil is opened for a look."""
        return self.first_closed + self.foil_check_after

    @property
    def foils_ready(self) -> Decimal:
        """When the last foil has had its least exposure."""
        return self.last_closed + self.foil_least

    @property
    def foil_ceiling(self) -> Decimal:
        """The first foil's ceiling, on the clock."""
        return self.first_closed + self.foil_ceiling_after

    @property
    def earliest(self) -> Decimal:
        """From when on all could be rinsed together."""
        return max(self.root_check, self.foils_ready)

    @property
    def latest(self) -> Decimal:
        """Until when all must be rinsed: the ceiling that comes first."""
        return min(self.root_latest, self.foil_ceiling)

    @property
    def window(self) -> Decimal:
        """Minutes from the earliest to the latest joint rinse; below zero where there is none."""
        return self.latest - self.earliest

    @property
    def possible(self) -> bool:
        """Whether all can be rinsed together."""
        return self.window >= 0

    @property
    def most_foils(self) -> Decimal:
        """How many foils at this pace are ready by the latest joint rinse."""
        return foils_within(self.latest - self.foil_least - self.foils_start, self.pace)

    def exposures(self, at: Decimal) -> tuple[Decimal, Decimal]:
        """Minutes that the first and the last foil have had at a clock time.

        Below zero where a foil is not closed yet.
        """
        return at - self.first_closed, at - self.last_closed

    def extended(self, by: Decimal) -> Self:
        """The plan with the roots' check so many minutes later; the ceilings stay where they are.

        The foils stay in as much longer as the joint rinse moves, so ``possible`` looks at
        their ceiling again.
        """
        return replace(self, root_minutes=self.root_minutes + by)

    def at(self, event: Event) -> Decimal:
        """The clock time of an event."""
        if event is Event.ROOT_STARTS:
            return self.starts_at
        time: Decimal = getattr(self, event.value)
        return time


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()
