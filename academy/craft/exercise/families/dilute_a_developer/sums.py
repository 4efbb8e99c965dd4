"""One dilution, its slips, and all the sums that work out."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.formula.dilution import stock_for, total_from
from academy.craft.formula.strength import volume_of_percent
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

PLAIN, VOLUME, TURNED = "plain", "volume", "turned"
STOCKS = (Decimal(6), Decimal(9), Decimal(12))
WANTED = tuple(Decimal(text) for text in ("1.5", "2", "3", "4", "4.5", "6", "9"))
LEAST_GRAMS = 10
LEAST_TOTAL, MOST_TOTAL = 40, 240
FRIENDLY = (2, 3)

_HALF = "Half and half only halves the strength."


@dataclass(frozen=True, slots=True)
class Dilution:
    """Strengths in per cent, weights in grams; ``form`` is plain, volume or turned."""

    level: str
    form: str
    stock_percent: Decimal
    wanted_percent: Decimal
    stock: Decimal
    total: Decimal

    @property
    def neutral(self) -> Decimal:
        """Grams of neutral cream."""
        return self.total - self.stock


def slips_of(drawn: Dilution) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    strong, weak, total = drawn.stock_percent, drawn.wanted_percent, drawn.total
    if drawn.form == TURNED:
        yield from _turned_slips(drawn)
        return
    yield Mistake(
        "swapped",
        "stock",
        drawn.neutral,
        "You weighed the neutral where the stock belongs: the weaker you want it, the less stock.",
    )
    part = total * weak / (strong - weak)
    if part <= total and drawn.level != Level.FIRST:
        yield Mistake(
            "part-for-share",
            "stock",
            part,
            f"{shown(weak)} : {shown(strong - weak)} are parts of each other, not of the whole. "
            "Add the parts first.",
        )
    if weak * 2 != strong:
        yield Mistake("half", "stock", total / 2, _HALF)
    yield Mistake(
        "mixed-units",
        "stock",
        total * weak / volume_of_percent(strong),
        "You used volume for one and per cent for the other.",
    )
    yield Mistake(
        "on-top",
        "neutral",
        total,
        f"The total includes the stock. Fill up to {shown(total)} g, do not add {shown(total)} g.",
    )


def _turned_slips(drawn: Dilution) -> Iterator[Mistake]:
    stock = drawn.stock
    sentence = f"The {shown(stock)} g are the stock, not the total."
    taken = stock * (1 - drawn.wanted_percent / drawn.stock_percent)
    yield Mistake("total-as-stock", "neutral", taken, sentence)
    yield Mistake("total-as-stock", "total", stock, sentence)
    if drawn.wanted_percent * 2 != drawn.stock_percent:
        yield Mistake("equal", "neutral", stock, _HALF)


def _whole(grams: Decimal) -> bool:
    return grams == int(grams) and grams >= LEAST_GRAMS


_Sum = tuple[Decimal, Decimal, Decimal, Decimal]


def _sum(strong: Decimal, weak: Decimal, stock: Decimal, total: Decimal) -> Iterator[_Sum]:
    """The sum, if it works out in whole grams and stays in the bowl."""
    if total <= MOST_TOTAL and _whole(stock) and _whole(total - stock):
        yield strong, weak, Decimal(int(stock)), Decimal(int(total))


def _sums_of(strong: Decimal, weak: Decimal) -> tuple[_Sum, ...]:
    """Forwards: the total is a multiple of 10 g."""
    totals = (Decimal(total) for total in range(LEAST_TOTAL, MOST_TOTAL + 1, 10))
    return tuple(
        found
        for total in totals
        for found in _sum(strong, weak, stock_for(total, strong, weak), total)
    )


def _turned_sums_of(strong: Decimal, weak: Decimal) -> tuple[_Sum, ...]:
    """Turned round: the given stock is a multiple of 10 g."""
    stocks = (Decimal(stock) for stock in range(20, MOST_TOTAL, 10))
    return tuple(
        found
        for stock in stocks
        for found in _sum(strong, weak, stock, total_from(stock, strong, weak))
    )


_PAIRS = tuple((strong, weak) for strong in STOCKS for weak in WANTED if weak < strong)
SUMS = tuple(filter(None, (_sums_of(*pair) for pair in _PAIRS)))
TURNED_SUMS = tuple(filter(None, (_turned_sums_of(*pair) for pair in _PAIRS)))
FRIENDLY_SUMS = tuple(sums for sums in SUMS if sums[0][0] / sums[0][1] in FRIENDLY)
"""A half or a third of the stock's strength."""
