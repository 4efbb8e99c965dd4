"""Foils, partings and roots with their times, as the clock of a head gives them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.timing.head_settings import LaidFoil


@dataclass(frozen=True, slots=True)
class ClockedFoil:
    """One foil on the clock: begun, closed, ready at the least, out by the ceiling."""

    foil: LaidFoil
    begun: Decimal
    closed: Decimal
    ready: Decimal
    out_by: Decimal

    @property
    def number(self) -> int:
        """Its number in laying order."""
        return self.foil.number

    def exposure(self, at: Decimal) -> Decimal:
        """Minutes it has had at a clock time; below zero where it is not closed yet."""
        return at - self.closed


@dataclass(frozen=True, slots=True)
class ClockedParting:
    """The foils of one parting, in laying order."""

    parting: int
    foils: tuple[ClockedFoil, ...]

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers of its foils."""
        return tuple(foil.number for foil in self.foils)

    @property
    def where(self) -> str:
        """Where it lies; its zones in laying order."""
        return "; ".join(dict.fromkeys(foil.foil.where for foil in self.foils))

    @property
    def first_closed(self) -> Decimal:
        """When its first foil is closed."""
        return self.foils[0].closed

    @property
    def last_closed(self) -> Decimal:
        """When its last foil is closed."""
        return self.foils[-1].closed

    def exposures(self, at: Decimal) -> tuple[Decimal, Decimal]:
        """Minutes that its first and last foil have had at a clock time."""
        return self.foils[0].exposure(at), self.foils[-1].exposure(at)


@dataclass(frozen=True, slots=True)
class RootParting:
    """One parting of the root colour; ``number`` counts from 1 in the order applied."""

    number: int
    begun: Decimal
    ended: Decimal

    def exposure(self, at: Decimal) -> Decimal:
        """Minutes since it was coloured; below zero where it is not yet."""
        return at - self.ended


@dataclass(frozen=True, slots=True)
class Exposure:
    """What the first and the last foil have had at a clock time."""

    at: Decimal
    first: Decimal
    last: Decimal

    @property
    def spread(self) -> Decimal:
        """Minutes between them."""
        return self.first - self.last


@dataclass(frozen=True, slots=True)
class Extension:
    """What it does to put the joint rinse off from its earliest time.

    ``past`` are the foils that would pass their ceiling, ``roots_past`` says the same of the
    roots. Unless ``allowed`` it is not done: those come out first.
    """

    by: Decimal
    rinse: Decimal
    first: Decimal
    past: tuple[int, ...]
    roots_past: bool
    sentence: str

    @property
    def allowed(self) -> bool:
        """Whether nothing passes its ceiling."""
        return not (self.past or self.roots_past)
