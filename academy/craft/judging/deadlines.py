"""Deadlines in working days: Monday to Friday without the academy's closed days.

Common practice, no source; the numbers of days are the academy's rules (trade.md 5.5).
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Collection

_SATURDAY: Final = 5


def is_working_day(day: date, closed: Collection[date] = ()) -> bool:
    return day.weekday() < _SATURDAY and day not in closed


def working_day_after(day: date, count: int, closed: Collection[date] = ()) -> date:
    """The last day of a term of `count` working days; the day itself does not count."""
    found, left = day, count
    while left > 0:
        found += timedelta(days=1)
        left -= is_working_day(found, closed)
    return found


def working_days_left(today: date, last: date, closed: Collection[date] = ()) -> int:
    """The working days after today up to the last one; below 0 once it is past."""
    step = 1 if last >= today else -1
    first, end = (today, last) if step == 1 else (last, today)
    days = (first + timedelta(days=n) for n in range(1, (end - first).days + 1))
    return step * sum(is_working_day(day, closed) for day in days)
