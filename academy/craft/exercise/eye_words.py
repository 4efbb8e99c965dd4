"""What an eye is told about itself: "You read white 8 points too low; it was 15 in September"."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.eye import LEAST, Bias, EyeReading, bias_of, latest, month_before
from academy.craft.measure import counted, round_half_up, shown

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from decimal import Decimal

    from academy.craft.exercise.eye import Month, Offset

TOO_FEW, NO_WAY = "Too few to say", "in no one direction"
LEAST_DRIFT_MM = 2
"""A drift below this, or below a third of the mean distance, points nowhere."""

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


@dataclass(frozen=True, slots=True)
class Scale:
    """How errors of one exercise are told: what is read, in which unit, which way."""

    read: str
    one: str
    many: str
    below: str
    above: str
    places: int = 0


SCALES = {
    "eye-white-share": Scale("white", "point", "points", "too low", "too high"),
    "eye-depth": Scale("depth", "depth", "depths", "too dark", "too light", places=1),
    "eye-woven-share": Scale("the woven share", "point", "points", "too low", "too high"),
    "eye-corners": Scale("corners", "mm", "mm", "", "off"),
}
"""By exercise family; corners have no sign, but a direction."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Who is spoken of: "You", or somebody by name."""

    name: str = ""

    @property
    def reads(self) -> str:
        """The beginning of a sentence about their readings."""
        return f"{self.name} reads" if self.name else "You read"

    @property
    def own(self) -> str:
        """The beginning of a sentence about something of theirs."""
        return f"{self.name}’s" if self.name else "Your"


def headline(family: str, readings: Sequence[EyeReading], reader: Reader) -> str:
    """The latest readings and a month before them, in one sentence without its full stop."""
    now, before = bias_of(latest(readings)), month_before(readings)
    if now is None:
        return f"{TOO_FEW}: {counted(len(readings), 'reading')}, {LEAST} are needed"
    start = _now(family, now, reader)
    if before is None or before.bias is None:
        return start
    return f"{start}; {_then(family, now, before.bias)} {_month(before, readings[-1].on)}"


def scatter(family: str, readings: Sequence[EyeReading]) -> str:
    """How far single readings lie from their own mean; empty where there are too few."""
    now = bias_of(latest(readings))
    if now is None:
        return ""
    return f"Single readings lie about {_figure(family, now.spread)} away from that."


def average(family: str, bias: Bias | None) -> str:
    """A mean as a cell of a table: "8 points too low"."""
    if bias is None:
        return TOO_FEW
    scale, figure = SCALES[family], _figure(family, bias.mean)
    if bias.drift_mm is not None:
        return f"{figure} {scale.above}, {way(bias)}"
    return f"{figure} {_side(family, bias)}".rstrip() if _side(family, bias) else "even"


def way(bias: Bias) -> str:
    """Where points drift: "too far back"."""
    if bias.drift_mm is None or not _points_somewhere(bias.drift_mm, bias.mean):
        return NO_WAY
    x, y, z = bias.drift_mm
    size, words = max(
        (x, ("to the right", "to the left")),
        (y, ("back", "forward")),
        (z, ("down", "up")),
        key=lambda axis: abs(axis[0]),
    )
    return f"too far {words[size > 0]}"


def spread(family: str, bias: Bias | None) -> str:
    """A standard deviation as a cell of a table; empty where there are too few."""
    return "" if bias is None else _figure(family, bias.spread)


def _points_somewhere(drift: Offset, mean: Decimal) -> bool:
    size = sum(axis * axis for axis in drift)
    return size >= LEAST_DRIFT_MM**2 and size * 9 >= mean * mean


def _now(family: str, now: Bias, reader: Reader) -> str:
    if now.drift_mm is not None:
        drift = way(now)
        mostly = f"mostly {drift}" if drift != NO_WAY else drift
        return f"{reader.own} corners lie {_figure(family, now.mean)} off, {mostly}"
    side = _side(family, now)
    if not side:
        return f"{reader.reads} {SCALES[family].read} neither {_neither(family)} on the whole"
    return f"{reader.reads} {SCALES[family].read} {_figure(family, now.mean)} {side}"


def _then(family: str, now: Bias, before: Bias) -> str:
    scale = SCALES[family]
    if before.drift_mm is not None:
        return f"it was {_figure(family, before.mean)} in"
    side = _side(family, before)
    if not side:
        return "it was even in"
    figure = shown(abs(before.mean), scale.places)
    if side == _side(family, now):
        return f"it was {figure} in"
    return f"it was {_figure(family, before.mean)} {side} in"


def _figure(family: str, size: Decimal) -> str:
    scale = SCALES[family]
    return counted(round_half_up(abs(size), scale.places), scale.one, scale.many)


def _side(family: str, bias: Bias) -> str:
    """Which way; empty where the mean rounds to nothing."""
    scale = SCALES[family]
    mean = round_half_up(bias.mean, scale.places)
    if not mean:
        return ""
    return scale.above if mean > 0 else scale.below


def _neither(family: str) -> str:
    scale = SCALES[family]
    return f"{scale.below} nor {scale.above}"


def _month(month: Month, today: date) -> str:
    """The month by name, with its year where the name alone could mean another."""
    first = month.first
    name = _MONTHS[first.month - 1]
    apart = 12 * (today.year - first.year) + today.month - first.month
    return name if apart < 12 else f"{name} {first.year}"
