"""The times of a service on own figures: each stands in for the right one it replaces."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.family import figure
from academy.craft.timing import foils_within

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from academy.craft.exercise.families.two_process_timing.plan import Service
    from academy.craft.measure import Value


@dataclass(frozen=True, slots=True)
class OwnTimes:
    """The right method all along, from whatever earlier figures are the apprentice's own."""

    plan: Service
    own: Mapping[str, Value]

    def _taken(self, key: str, right: Decimal) -> Decimal:
        return figure(self.own.get(key), right)

    @property
    def root_check(self) -> Decimal:
        """The own root check."""
        return self._taken("root_check", self.plan.root_check)

    @property
    def root_latest(self) -> Decimal:
        """The own ceiling of the roots."""
        return self._taken("root_latest", self.plan.root_latest)

    @property
    def first(self) -> Decimal:
        """The own first foil."""
        return self._taken("first", self.plan.first_closed)

    @property
    def last(self) -> Decimal:
        """The own last foil, or what follows from the own first."""
        return self._taken("last", self.first + self.plan.spread)

    @property
    def ready(self) -> Decimal:
        """Foils ready on the own last foil."""
        return self._taken("ready", self.last + self.plan.foil_least)

    @property
    def foil_ceiling(self) -> Decimal:
        """The foils' ceiling on the own first foil."""
        return self._taken("foil_ceiling", self.first + self.plan.foil_ceiling_after)

    @property
    def earliest(self) -> Decimal:
        """The later of root check and foils ready."""
        return self._taken("earliest", max(self.root_check, self.ready))

    @property
    def latest(self) -> Decimal:
        """The earlier of the two ceilings."""
        return self._taken("latest", min(self.root_latest, self.foil_ceiling))

    @property
    def safe_latest(self) -> Decimal:
        """The own latest joint rinse, unless that is past a ceiling: then nothing rests on it."""
        return min(self.latest, self.plan.latest)

    @property
    def longer_check(self) -> Decimal:
        """The root check after the extension."""
        return self.root_check + self.plan.more

    @property
    def new_earliest(self) -> Decimal:
        """The later of that and foils ready."""
        return self._taken("new_earliest", max(self.longer_check, self.ready))

    @property
    def room(self) -> Decimal:
        """Minutes for foils from the first one's start until the last must be closed."""
        return self.latest - self.plan.foil_least - (self.first - self.plan.pace)

    @property
    def most(self) -> Decimal:
        """How many foils fit into that."""
        return foils_within(self.room, self.plan.pace)
