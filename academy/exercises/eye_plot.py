"""A dot plot of readings by eye: days to the right, how far off upwards, as figures for an SVG."""

from __future__ import annotations

from calendar import month_abbr, monthrange
from collections import Counter
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from academy.craft.exercise.eye import by_month
from academy.craft.exercise.eye_words import SCALES
from academy.craft.measure import counted
from academy.web.numbers import MINUS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from decimal import Decimal

    from academy.craft.exercise.eye import EyeReading

WIDTH, HEIGHT = 400, 216
LEFT, RIGHT, TOP, BOTTOM = 46, 390, 14, 178
LABELS_Y = 202
MOST_LABELS = 6
BESIDE = 6  # how far dots that would lie on each other are moved apart
_STEPS = {"eye-depth": 1, "eye-corners": 4}
_STEP = 10


@dataclass(frozen=True)
class Dot:
    """One reading; `outside` of what the house takes for right it is a red diamond."""

    x: float
    y: float
    outside: bool


@dataclass(frozen=True)
class Plot:
    """Everything that parts/eye_plot.html draws, in the units of its view box."""

    words: str
    caption: str
    dots: list[Dot]
    means: list[tuple[float, float, float]]
    band: tuple[float, float]
    zero: float
    heights: list[tuple[float, str]]
    months: list[tuple[float, str]]

    width, height, left, right, labels_y = WIDTH, HEIGHT, LEFT, RIGHT, LABELS_Y

    @property
    def wide(self) -> int:
        return self.right - self.left


def plot_of(family: str, readings: Sequence[EyeReading], allowed: Decimal, title: str) -> Plot:
    """The plot of one exercise; `allowed` is the tolerance of its latest question."""
    step = _STEPS.get(family, _STEP)
    signed = readings[0].offset_mm is None
    furthest = max(float(abs(reading.off)) for reading in readings)
    most = step * max(ceil(max(furthest, 1.2 * float(allowed)) / step), 2)
    least = -most if signed else 0

    def up(off: float) -> float:
        return round(BOTTOM - (off - least) / (most - least) * (BOTTOM - TOP), 1)

    axis = _Months(readings[0].on, readings[-1].on)
    taken: Counter[tuple[float, float]] = Counter()
    dots = []
    for reading in readings:
        x, y = axis.at(reading.on), up(float(reading.off))
        beside = taken[x, y] * BESIDE
        taken[x, y] += 1
        dots.append(Dot(min(x + beside, RIGHT), y, abs(reading.off) > allowed))
    means = [
        (*axis.ends(month.first), up(float(month.bias.mean)))
        for month in by_month(readings)
        if month.bias
    ]
    high, low = up(float(allowed)), up(-float(allowed) if signed else 0)
    return Plot(
        words=f"{title}: {counted(len(readings), 'reading')}. The figures stand in the table.",
        caption=_caption(family),
        dots=dots,
        means=means,
        band=(high, round(low - high, 1)),
        zero=up(0),
        heights=[(up(at), _height(at, signed=signed)) for at in sorted({least, 0, most})],
        months=axis.labels(),
    )


class _Months:
    """Whole months side by side, all as wide."""

    def __init__(self, first: date, last: date) -> None:
        self.start = first.year * 12 + first.month - 1
        self.many = last.year * 12 + last.month - self.start
        self.wide = (RIGHT - LEFT) / self.many

    def at(self, day: date) -> float:
        into = (day.day - 0.5) / monthrange(day.year, day.month)[1]
        return round(LEFT + (self._place(day) + into) * self.wide, 1)

    def ends(self, day: date) -> tuple[float, float]:
        start = LEFT + self._place(day) * self.wide
        return round(start + 2, 1), round(start + self.wide - 2, 1)

    def labels(self) -> list[tuple[float, str]]:
        every = ceil(self.many / MOST_LABELS)
        return [
            (round(LEFT + (place + 0.5) * self.wide, 1), month_abbr[(self.start + place) % 12 + 1])
            for place in range(0, self.many, every)
        ]

    def _place(self, day: date) -> int:
        return day.year * 12 + day.month - 1 - self.start


def _caption(family: str) -> str:
    scale = SCALES[family]
    if not scale.below:
        return f"Upwards: {scale.many} {scale.above}."
    return f"{scale.many.capitalize()} {scale.above} upwards, {scale.below} downwards."


def _height(at: int, *, signed: bool) -> str:
    if not at:
        return "0"
    sign = "+" if signed and at > 0 else MINUS if at < 0 else ""
    return f"{sign}{abs(at)}"
