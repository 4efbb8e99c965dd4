"""One bowl with its slips, and what its numbers are drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Mistake
from academy.craft.formula.mixture import in_equal_parts, ingredient_on_the_head, on_the_head
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.family import Dice

STRENGTHS = tuple(Decimal(percent) for percent in (2, 3, 4, 6, 9, 12))
RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
THREE = 3
UNDER, AT, OVER = "under", "at", "over"
TUBE_STEP = Decimal("0.5")

_NO_PEROXIDE = "The cream in the bowl holds no peroxide."


@dataclass(frozen=True, slots=True)
class Mixture:
    """Strengths in per cent, ``colour`` in grams, ratio as the d of 1:d.

    With ``three`` there is as much conditioner as colour and d is 1. ``limit`` is the one on the
    head; level first has no ingredient.
    """

    level: str
    percent: Decimal
    d: Decimal
    colour: Decimal
    three: bool = False
    ingredient: str = ""
    in_tube: Decimal = Decimal(0)
    limit: Decimal = Decimal(0)

    @property
    def parts(self) -> Decimal:
        """All parts in the bowl, the colour being one."""
        return Decimal(THREE) if self.three else 1 + self.d

    @property
    def strength(self) -> Decimal:
        """Peroxide on the head."""
        if self.three:
            return in_equal_parts(self.percent, THREE)
        return on_the_head(self.percent, self.d)

    @property
    def on_head(self) -> Decimal:
        """The ingredient on the head."""
        if self.three:
            return in_equal_parts(self.in_tube, THREE)
        return ingredient_on_the_head(self.in_tube, self.d)

    @property
    def conditioner(self) -> Decimal:
        """Grams of conditioner."""
        return self.colour if self.three else Decimal(0)

    def bowl(self, developer: Decimal) -> Decimal:
        """Grams in the bowl with so much developer."""
        return self.colour + developer + self.conditioner


def strength_slips(drawn: Mixture) -> Iterator[Mistake]:
    percent, d = drawn.percent, drawn.d
    yield Mistake("bottle", "strength", percent, f"That is the bottle strength. {_NO_PEROXIDE}")
    if d != 1:
        part = f"In 1:{shown(d)} the {shown(d)} is a part, not a divisor."
        yield Mistake("divided-by-d", "strength", percent / d, part)
        yield Mistake(
            "colour-share",
            "strength",
            percent / (1 + d),
            "You took the colour’s share instead of the developer’s.",
        )
    yield Mistake(
        "inverted",
        "strength",
        percent * drawn.parts / d,
        "A mixture cannot be stronger than the bottle.",
    )
    if drawn.three or d not in {1, 2}:
        yield Mistake("always-half", "strength", percent / 2, "Half holds only for 1:1.")


def turned_slips(drawn: Mixture) -> Iterator[Mistake]:
    aimed = drawn.strength
    yield Mistake(
        "bottle",
        "percent",
        aimed,
        f"That is the strength on the head, not in the bottle. {_NO_PEROXIDE}",
    )
    if drawn.d != 1:
        yield Mistake("always-half", "percent", aimed * 2, "Half holds only for 1:1.")


def tube_percent(dice: Dice, at_limit: Decimal) -> Decimal:
    """Per cent in the tube, ``at_limit`` being what gives the limit on the head."""
    standing = dice.pick((UNDER, AT, OVER))
    if standing == AT:
        return at_limit
    steps = at_limit / TUBE_STEP
    low, high = (
        (_up(steps / 2), _up(steps) - 1)
        if standing == UNDER
        else (_down(steps) + 1, _down(steps * 3 / 2))
    )
    return dice.whole(low, high) * TUBE_STEP


def _up(value: Decimal) -> int:
    return int(value.to_integral_value(rounding=ROUND_CEILING))


def _down(value: Decimal) -> int:
    return int(value.to_integral_value(rounding=ROUND_FLOOR))


def _is_neat(percent: Decimal, d: Decimal) -> bool:
    """On the head at most two decimals."""
    return (percent * d * 100) % (1 + d) == 0


AIMED = {d: tuple(p for p in STRENGTHS if _is_neat(p, d)) for d in RATIOS}
"""Stocked strengths by ratio whose strength on the head can be asked for."""
