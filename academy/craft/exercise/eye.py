"""How an eye reads over time: how far off on the whole, which way, and how much it scatters.

A reading is what was given for what was right, on a day. Numbers give a mean error with its sign
and a standard deviation; points on the head a mean distance and the way they drift. Fewer than
``LEAST`` readings say nothing.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.measure import Spot

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from academy.craft.measure import Value

LEAST = 5
"""Readings below which a mean is too few to say anything."""

LATEST = 10
"""Readings that make up how somebody reads now."""

Offset = tuple[Decimal, Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class EyeReading:
    """One reading; both values are of one kind, a number or a spot. Others raise ``TypeError``."""

    on: date
    right: Value
    given: Value

    @property
    def off(self) -> Decimal:
        """Given less right, in the unit of the field; for spots the distance in mm."""
        if isinstance(self.right, Decimal) and isinstance(self.given, Decimal):
            return self.given - self.right
        if isinstance(self.right, Spot) and isinstance(self.given, Spot):
            return self.right.distance_mm(self.given)
        raise TypeError("An eye reads numbers or spots, and gives what it reads.")

    @property
    def offset_mm(self) -> Offset | None:
        """For spots how far to the wearer's left, forward and up; None for numbers."""
        if not (isinstance(self.right, Spot) and isinstance(self.given, Spot)):
            return None
        x, y, z = (g - r for g, r in zip(self.given.at_mm, self.right.at_mm, strict=True))
        return x, y, z


@dataclass(frozen=True, slots=True)
class Bias:
    """What several readings come to; ``spread`` is the standard deviation of a sample."""

    count: int
    mean: Decimal
    spread: Decimal
    drift_mm: Offset | None = None


@dataclass(frozen=True, slots=True)
class Month:
    """The readings of one month; ``bias`` is None where they are too few."""

    first: date
    readings: tuple[EyeReading, ...]
    bias: Bias | None


def bias_of(readings: Sequence[EyeReading]) -> Bias | None:
    """Mean and spread of readings of one kind; None below ``LEAST``."""
    count = len(readings)
    if count < LEAST:
        return None
    errors = [reading.off for reading in readings]
    mean = sum(errors, Decimal(0)) / count
    squares = sum(((error - mean) ** 2 for error in errors), Decimal(0))
    return Bias(count, mean, (squares / (count - 1)).sqrt(), _drift(readings))


def latest(readings: Sequence[EyeReading]) -> tuple[EyeReading, ...]:
    """The last ``LATEST`` of readings in the order of their days."""
    return tuple(readings[-LATEST:])


def by_month(readings: Sequence[EyeReading]) -> tuple[Month, ...]:
    """Readings in the order of their days, month by month, the oldest first."""
    months: dict[date, list[EyeReading]] = defaultdict(list)
    for reading in readings:
        months[reading.on.replace(day=1)].append(reading)
    return tuple(Month(first, tuple(own), bias_of(own)) for first, own in months.items())


def month_before(readings: Sequence[EyeReading]) -> Month | None:
    """The first month that can be set against the latest readings, which do not count in it."""
    return next((month for month in by_month(readings[:-LATEST]) if month.bias), None)


def _drift(readings: Sequence[EyeReading]) -> Offset | None:
    offsets = [offset for reading in readings if (offset := reading.offset_mm) is not None]
    if not offsets:
        return None
    x, y, z = (sum(axis, Decimal(0)) / len(offsets) for axis in zip(*offsets, strict=True))
    return x, y, z
