"""What a figure measures, what a value is, and how far an answer may lie from it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

MINUTES_IN_A_DAY = 24 * 60


class Kind(StrEnum):
    """What a figure measures; it settles unit, display, tolerance and how an answer is read."""

    GRAMS = "grams"
    STRENGTH = "strength"
    SHARE = "share"
    RATIO = "ratio"
    PARTS = "parts"
    MINUTES = "minutes"
    CLOCK = "clock"
    DAY_TIME = "day_time"
    DEPTH = "depth"
    COUNT = "count"
    LENGTH = "length"
    AREA = "area"
    HOURS = "hours"
    MILLIMETRES = "millimetres"
    STEPS = "steps"
    YES_NO = "yes_no"
    CHOICE = "choice"
    SEVERAL = "several"
    ORDER = "order"
    SPOT = "spot"

    @property
    def unit(self) -> str:
        """The sign printed after the figure; empty where the figure stands alone."""
        return _UNITS.get(self, "")


_UNITS = {
    Kind.GRAMS: "g",
    Kind.STRENGTH: "%",
    Kind.SHARE: "%",
    Kind.MINUTES: "min",
    Kind.LENGTH: "cm",
    Kind.AREA: "cm²",
    Kind.HOURS: "h",
    Kind.MILLIMETRES: "mm",
}


@dataclass(frozen=True, slots=True)
class Ratio:
    """Two parts by weight, kept in lowest whole terms so that 1:1.5 equals 2:3."""

    first: int
    second: int

    @classmethod
    def of(cls, first: Decimal | int | str, second: Decimal | int | str) -> Ratio:
        """Both parts must be above zero, otherwise ``ValueError``."""
        one, other = Fraction(Decimal(first)), Fraction(Decimal(second))
        if one <= 0 or other <= 0:
            raise ValueError("Both parts of a ratio must be above zero.")
        lowest = one / other
        return cls(lowest.numerator, lowest.denominator)

    @property
    def second_to_one(self) -> Decimal:
        """The d of "1:d"."""
        return Decimal(self.second) / Decimal(self.first)

    def __str__(self) -> str:
        return f"{self.first}:{self.second}"


@dataclass(frozen=True, slots=True)
class Several:
    """Some of the choices of a field, in the order of their keys; none of them is an answer too."""

    keys: tuple[str, ...]

    @classmethod
    def of(cls, *keys: str) -> Several:
        """The choices with these keys, each once."""
        return cls(tuple(sorted(set(keys))))


@dataclass(frozen=True, slots=True)
class Order:
    """All choices of a field, by key, in the order they were put."""

    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A point on the head: degrees, and its place in mm on the head it was put on."""

    azimuth: Decimal
    elevation: Decimal
    at_mm: tuple[Decimal, Decimal, Decimal]

    def distance_mm(self, other: Spot) -> Decimal:
        """The straight distance to another point on the same head."""
        squares = ((a - b) ** 2 for a, b in zip(self.at_mm, other.at_mm, strict=True))
        return sum(squares, Decimal(0)).sqrt()


Value = Decimal | Ratio | str | Several | Order | Spot

NONE = "none"
"""The answer "none" in a field that may have none: no next check, no earliest time."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far an answer may lie from a value, in the unit of the field; 0 is exact.

    ``plain`` holds unless the value is below ``small_below`` (then ``small``) or above
    ``large_above`` (then ``large_percent`` per cent of the value).
    """

    plain: Decimal = Decimal(0)
    small: Decimal | None = None
    small_below: Decimal | None = None
    large_percent: Decimal | None = None
    large_above: Decimal | None = None

    def at(self, value: Decimal) -> Decimal:
        """The allowed distance from ``value``."""
        if self.small is not None and self.small_below is not None and value < self.small_below:
            return self.small
        percent, above = self.large_percent, self.large_above
        if percent is not None and above is not None and value > above:
            return value * percent / 100
        return self.plain

    def covers(self, right: Value, given: Value) -> bool:
        """Whether ``given`` counts as ``right``; a spot by its distance, words must match."""
        if isinstance(right, Decimal) and isinstance(given, Decimal):
            return abs(right - given) <= self.at(right)
        if isinstance(right, Spot) and isinstance(given, Spot):
            return right.distance_mm(given) <= self.plain
        return right == given


EXACT = Tolerance()


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer of a field with choices; ``also`` are other words that mean it."""

    key: str
    label: str
    also: tuple[str, ...] = ()


YES_OR_NO = (
    Choice("yes", "Yes", ("y", "yep", "yeah")),
    Choice("no", "No", ("n", "nope")),
)
