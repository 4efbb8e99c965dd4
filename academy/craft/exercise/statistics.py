"""What the sheets of a cohort say about a question: how many had it right, how long it took, and
whether it separates the strong from the weak.

Everything here is computed from marks and times alone. Where there are too few sheets the answer
is that, and no figure.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from math import sqrt
from statistics import median
from typing import TYPE_CHECKING, TypeVar

from academy.craft.judging.readiness import Interval, wilson_interval

if TYPE_CHECKING:
    from collections.abc import Hashable, Iterable, Mapping, Sequence
    from datetime import datetime
    from decimal import Decimal

K = TypeVar("K", bound="Hashable")

FEWEST_FOR_A_SHARE = 5
"""Below this an interval covers more than half of all shares. Common practice, no source."""

FEWEST_TO_SEPARATE = 20
"""A correlation has a standard error near 1 / sqrt(n - 3): 0.24 at 20, so that fewer sheets could
not tell 0.30 from nothing. The number itself is common practice, no source."""

SEPARATES_WELL = 0.30
"""From here on an item is "reasonably good" or better: Ebel, Measuring Educational Achievement
(1965), table of discrimination indices; below 0 it is to be looked at."""

LONGEST_PAUSE = timedelta(minutes=15)
"""Whoever does not touch a sheet for longer was away from it. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Share:
    """So many right of so many sheets; ``interval`` is None where they are too few to say."""

    right: int
    sheets: int
    interval: Interval | None

    @property
    def percent(self) -> int:
        """Whole per cent, rounded down: 100 only when nobody missed it; 0 where there is none."""
        return 100 * self.right // self.sheets if self.sheets else 0

    @property
    def low(self) -> int | None:
        """The lower end of the interval in whole per cent."""
        return None if self.interval is None else round(100 * self.interval.low)

    @property
    def high(self) -> int | None:
        """The upper end of the interval in whole per cent."""
        return None if self.interval is None else round(100 * self.interval.high)


def share_of(right: int, sheets: int) -> Share:
    """The share with Wilson's interval (95 %), or without below ``FEWEST_FOR_A_SHARE`` sheets."""
    enough = sheets >= FEWEST_FOR_A_SHARE
    return Share(right, sheets, wilson_interval(right, sheets) if enough else None)


class Separates(StrEnum):
    """What a question does for telling the strong from the weak."""

    WELL = "well"
    LITTLE = "little"
    LOOK = "look"
    ALIKE = "alike"
    ALONE = "alone"
    TOO_FEW = "too_few"

    @property
    def words(self) -> str:
        """What a person decides with."""
        return {
            Separates.WELL: "Separates well",
            Separates.LITTLE: "Says little",
            Separates.LOOK: "Look at this question: the strong miss it more often",
            Separates.ALIKE: "Separates nobody: the marks do not differ",
            Separates.ALONE: "Nothing to compare it with on this paper",
            Separates.TOO_FEW: "Too few to say",
        }[self]


@dataclass(frozen=True, slots=True)
class Separation:
    """What it means, and the correlation, -1 to 1, that says so; None where there is none."""

    correlation: float | None
    sheets: int
    means: Separates


def separations(marks: Sequence[Sequence[Decimal | int]]) -> list[Separation]:
    """For each question how it goes with the rest of the paper.

    ``marks`` has a row for each sheet and in it the marks of each question; all rows are as long.
    The figure is the correlation (Pearson) of the marks in the question with the sum of those in
    all others: the corrected item-total correlation. Left in, a question would correlate with
    itself. Source: Henrysson, Correction of item-total correlations in item analysis,
    Psychometrika 28 (1963) 211-218, as the simple removal of the item from the total.
    """
    rows = [[float(mark) for mark in row] for row in marks]
    questions = len(rows[0]) if rows else 0
    return [
        _separation([(row[at], sum(row) - row[at]) for row in rows], questions > 1, len(rows))
        for at in range(questions)
    ]


def _separation(pairs: Sequence[tuple[float, float]], compared: bool, sheets: int) -> Separation:
    if sheets < FEWEST_TO_SEPARATE:
        return Separation(None, sheets, Separates.TOO_FEW)
    if not compared:
        return Separation(None, sheets, Separates.ALONE)
    found = correlation(pairs)
    if found is None:
        return Separation(None, sheets, Separates.ALIKE)
    if found < 0:
        return Separation(found, sheets, Separates.LOOK)
    well = found >= SEPARATES_WELL
    return Separation(found, sheets, Separates.WELL if well else Separates.LITTLE)


def correlation(pairs: Sequence[tuple[float, float]]) -> float | None:
    """Pearson's correlation, or None where one of the two does not vary."""
    count = len(pairs)
    if not count:
        return None
    one, other = (sum(pair[side] for pair in pairs) / count for side in (0, 1))
    across = sum((a - one) * (b - other) for a, b in pairs)
    first = sum((a - one) ** 2 for a, _ in pairs)
    second = sum((b - other) ** 2 for _, b in pairs)
    if not first or not second:
        return None
    return across / sqrt(first * second)


def minutes_taken(begun: datetime, touched: Mapping[K, datetime]) -> dict[K, float]:
    """Minutes for each question of one sheet: since the one before was last touched.

    ``touched`` is when each was last touched, in whatever order they were answered; the first
    counts from ``begun``. A question after a pause of more than ``LONGEST_PAUSE`` is left out, as
    is one that was touched before the sheet was begun.
    """
    found: dict[K, float] = {}
    before = begun
    for key, at in sorted(touched.items(), key=lambda item: item[1]):
        spent = at - before
        if timedelta(0) <= spent <= LONGEST_PAUSE:
            found[key] = spent.total_seconds() / 60
        before = max(before, at)
    return found


def median_minutes(times: Iterable[float]) -> float | None:
    """The middle of the times, None below ``FEWEST_FOR_A_SHARE`` of them."""
    every = list(times)
    return median(every) if len(every) >= FEWEST_FOR_A_SHARE else None
