"""One blend, its slips, and all the sums that work out."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Mistake
from academy.craft.formula.alligation import crossed_parts, grams_of_each, stronger_to_add
from academy.craft.measure import Ratio

if TYPE_CHECKING:
    from collections.abc import Iterator

PLAIN, ASKED, TURNED = "plain", "asked", "turned"
HIGHS = (Decimal(6), Decimal(9), Decimal(12))
LOWS = tuple(Decimal(text) for text in ("1.5", "2", "3", "4", "6"))
TARGETS = tuple(Decimal(text) for text in ("2", "3", "4", "4.5", "6", "7.5", "9"))
LEAST_GRAMS = 10
LEAST_TOTAL, MOST_TOTAL = 40, 240
FRIENDLY = (Ratio(1, 1), Ratio(1, 2), Ratio(2, 1))

HALVES = "Equal grams give the middle of the two strengths."
CROSS = "You kept each difference on its own line. Cross them."


@dataclass(frozen=True, slots=True)
class Blend:
    """Strengths in per cent, weights in grams; ``form`` is plain, asked or turned.

    ``asked`` also asks whether it can be made. ``stronger`` is None where it cannot.
    """

    level: str
    form: str
    high: Decimal
    low: Decimal
    target: Decimal
    total: Decimal
    stronger: Decimal | None

    @property
    def weaker(self) -> Decimal:
        """Grams of the weaker developer, where there is a mix."""
        return self.total - (self.stronger or Decimal(0))

    @property
    def in_the_middle(self) -> bool:
        """The target is the mean of the two."""
        return self.target * 2 == self.high + self.low


def slips(high: Decimal, low: Decimal, target: Decimal, total: Decimal) -> Iterator[Mistake]:
    """The slips in the stronger one, forwards."""
    if target * 2 != high + low:
        crossed = grams_of_each(total, high, low, target)[1]
        yield Mistake("crossed", "stronger", crossed, CROSS)
        yield Mistake("halves", "stronger", total / 2, HALVES)
    yield Mistake(
        "as-if-water", "stronger", total * target / high, "The weaker one holds peroxide too."
    )
    yield Mistake(
        "over-strength",
        "stronger",
        total * (target - low) / high,
        "Divide by the sum of the parts, not by the strength.",
    )


def slips_turned(drawn: Blend) -> Iterator[Mistake]:
    """The slips in the stronger one that is added to what there is."""
    if drawn.in_the_middle:
        return
    there, up, down = drawn.weaker, drawn.target - drawn.low, drawn.high - drawn.target
    yield Mistake("crossed", "stronger", there * down / up, CROSS)
    yield Mistake("halves", "stronger", there, HALVES)


def _whole(weight: Decimal) -> bool:
    return weight == int(weight) and weight >= LEAST_GRAMS


_Sum = tuple[Decimal, Decimal, Decimal, Decimal, Decimal]
_Strengths = tuple[Decimal, Decimal, Decimal]


def _sum(strengths: _Strengths, total: Decimal, stronger: Decimal) -> Iterator[_Sum]:
    """The sum, if it works out in whole grams and stays in the bowl."""
    if total <= MOST_TOTAL and _whole(stronger) and _whole(total - stronger):
        yield *strengths, Decimal(int(total)), Decimal(int(stronger))


def _sums_of(strengths: _Strengths) -> tuple[_Sum, ...]:
    """Forwards: the total is a multiple of 10 g."""
    wrong = [mistake.value for mistake in slips(*strengths, Decimal(LEAST_TOTAL))]
    if any(one == other for one, other in combinations(wrong, 2)):
        return ()
    totals = (Decimal(total) for total in range(LEAST_TOTAL, MOST_TOTAL + 1, 10))
    return tuple(
        found
        for total in totals
        for found in _sum(strengths, total, grams_of_each(total, *strengths)[0])
    )


def _turned_sums_of(strengths: _Strengths) -> tuple[_Sum, ...]:
    """Turned round: the given weaker developer is a multiple of 10 g."""
    given = (Decimal(weaker) for weaker in range(LEAST_GRAMS, MOST_TOTAL, 10))
    return tuple(
        found
        for weaker in given
        for added in (stronger_to_add(weaker, *strengths),)
        for found in _sum(strengths, weaker + added, added)
    )


_TRIPLES = tuple((h, low, t) for h in HIGHS for low in LOWS for t in TARGETS if low < h)
_MADE = tuple((h, low, t) for h, low, t in _TRIPLES if low < t < h)
OUTSIDE = tuple((h, low, t) for h, low, t in _TRIPLES if not low <= t <= h)
SUMS = tuple(filter(None, map(_sums_of, _MADE)))
TURNED_SUMS = tuple(filter(None, map(_turned_sums_of, _MADE)))
FRIENDLY_SUMS = tuple(sums for sums in SUMS if crossed_parts(*sums[0][:3]) in FRIENDLY)
"""Half and half, or twice as much of one as of the other."""
