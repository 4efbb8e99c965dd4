"""Quantities with units: how a figure is rounded, shown, compared and read as people write it.

Every number is a ``Decimal``; a clock time is the minutes after midnight, a day and time those
after Monday 00:00; a ratio is exact.
Nothing is rounded between steps: rounding half up happens only where a figure is shown.
"""

from __future__ import annotations

from academy.craft.measure.kinds import (
    EXACT,
    MINUTES_IN_A_DAY,
    NONE,
    YES_OR_NO,
    Choice,
    Kind,
    Order,
    Ratio,
    Several,
    Spot,
    Tolerance,
    Value,
)
from academy.craft.measure.reading import VOLUME_TO_PERCENT, Reading, read_answer
from academy.craft.measure.showing import (
    WEEKDAYS,
    clock,
    counted,
    day_time,
    of_clock,
    of_day_time,
    round_half_up,
    shown,
    shown_as,
    with_unit,
)

__all__ = [
    "EXACT",
    "MINUTES_IN_A_DAY",
    "NONE",
    "VOLUME_TO_PERCENT",
    "WEEKDAYS",
    "YES_OR_NO",
    "Choice",
    "Kind",
    "Order",
    "Ratio",
    "Reading",
    "Several",
    "Spot",
    "Tolerance",
    "Value",
    "clock",
    "counted",
    "day_time",
    "of_clock",
    "of_day_time",
    "read_answer",
    "round_half_up",
    "shown",
    "shown_as",
    "with_unit",
]
