"""Mixing strengths: the crossing method, and the strength of a mixture of several."""

from __future__ import annotations

from decimal import Decimal
from itertools import cycle
from typing import TYPE_CHECKING

from academy.craft.formula.errors import FormulaError
from academy.craft.measure import Ratio, shown

if TYPE_CHECKING:
    from collections.abc import Sequence


def strength_of(portions: Sequence[tuple[Decimal, Decimal]]) -> Decimal:
    """Per cent of a mixture of (grams, per cent): the mean weighted by grams."""
    total = sum((grams for grams, _ in portions), Decimal(0))
    if total <= 0:
        raise FormulaError("A mixture needs at least one portion above zero grams.")
    return sum((grams * percent for grams, percent in portions), Decimal(0)) / total


def can_be_made(high: Decimal, low: Decimal, target: Decimal) -> bool:
    """Whether two different strengths give the target: it must lie between them."""
    return high != low and min(high, low) <= target <= max(high, low)


def crossed_parts(high: Decimal, low: Decimal, target: Decimal) -> Ratio:
    """Parts of the stronger : parts of the weaker, by the cross, for a target between the two."""
    _check(high, low, target)
    if target in {high, low}:
        raise FormulaError(f"{shown(target)} % is one of the two already: mix nothing.")
    return Ratio.of(target - low, high - target)


def grams_of_each(
    total: Decimal, high: Decimal, low: Decimal, target: Decimal
) -> tuple[Decimal, Decimal]:
    """Grams of the stronger and of the weaker in ``total`` grams of the target strength."""
    _check(high, low, target)
    stronger = total * (target - low) / (high - low)
    return stronger, total - stronger


def stronger_to_add(weaker: Decimal, high: Decimal, low: Decimal, target: Decimal) -> Decimal:
    """Grams of the stronger that bring ``weaker`` grams of the weaker to the target strength."""
    _check(high, low, target)
    if target == high:
        raise FormulaError(f"{shown(target)} % is the stronger one itself: take it alone.")
    return weaker * (target - low) / (high - target)


def parts_of_many(strengths: Sequence[Decimal], target: Decimal) -> tuple[Decimal, ...]:
    """One valid set of parts, in the order given, for three strengths or more.

    Each stronger one is crossed with a weaker one; the shorter side is used again in turn. Many
    other sets are just as right. The parts are in proportion, not in lowest terms.
    """
    above = [place for place, strength in enumerate(strengths) if strength > target]
    below = [place for place, strength in enumerate(strengths) if strength < target]
    if not above or not below:
        raise FormulaError(
            f"{shown(target)} % cannot be made: it needs one strength above and one below."
        )
    parts = [Decimal(0)] * len(strengths)
    pairs = (
        zip(above, cycle(below), strict=False)
        if len(above) >= len(below)
        else zip(cycle(above), below, strict=False)
    )
    for strong, weak in pairs:
        parts[strong] += target - strengths[weak]
        parts[weak] += strengths[strong] - target
    return tuple(parts)


def _check(high: Decimal, low: Decimal, target: Decimal) -> None:
    if not can_be_made(high, low, target):
        raise FormulaError(
            f"{shown(target)} % cannot be made from {shown(high)} % and {shown(low)} %: "
            "no mix is stronger or weaker than both its parts."
        )
