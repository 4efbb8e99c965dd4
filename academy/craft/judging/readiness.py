"""How much evidence there is: heads in a row, and what such a count can show.

Source: trade.md 5.3; the interval is Wilson's score interval (Newcombe 1998, method 3).
"""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date
from math import sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.outcome import ByMarks

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True)
class Interval:
    """Where a true rate plausibly lies: `low` and `high` from 0 to 1."""

    low: float
    high: float


def heads_in_a_row(results: Iterable[ByMarks]) -> int:
    """How many of the newest results, given oldest first, are competent without a break."""
    run = 0
    for result in results:
        run = run + 1 if result is ByMarks.COMPETENT else 0
    return run


def months_before(day: date, months: int) -> date:
    """The same day that many months earlier, or the last of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 - months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def wilson_interval(successes: int, n: int, *, confidence: float = 0.95) -> Interval:
    """Wilson's score interval for `successes` of `n`, without continuity correction."""
    if not 0 <= successes <= n or n == 0:
        raise JudgingError(f"{successes} of {n} is no count to judge by.")
    if not 0 < confidence < 1:
        raise JudgingError("The confidence lies between 0 and 1, for example 0.95.")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    rate, square = successes / n, z * z
    centre = rate + square / (2 * n)
    reach = z * sqrt(rate * (1 - rate) / n + square / (4 * n * n))
    whole = 1 + square / n
    return Interval(max(0.0, (centre - reach) / whole), min(1.0, (centre + reach) / whole))


def pass_rate_words(successes: int, n: int) -> str:
    """The honest sentence beside a count of heads."""
    found = wilson_interval(successes, n)
    low, high = round(100 * found.low), round(100 * found.high)
    return f"{successes} of {n} means a true pass rate plausibly {low}–{high} %."
