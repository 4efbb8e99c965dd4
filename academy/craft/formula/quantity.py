"""How much a head takes: area times regrowth times spread, rounded up to whole grams of both."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.formula.mixture import cream_in, round_up_to
from academy.craft.formula.white_hair import AREA_SHARES
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.craft.rules import Decided, Rules


@dataclass(frozen=True, slots=True)
class Quantity:
    """Grams for one regrowth, with the rules they rest on.

    ``need`` is mixed product, not rounded; ``bowl`` is rounded up to ``step``, or is the need
    itself where the rules know no step for the ratio.
    """

    need: Decimal
    bowl: Decimal
    cream: Decimal
    developer: Decimal
    spread: Decided
    step: Decided | None


def quantity_for(area_cm2: Decimal, regrowth_cm: Decimal, d: Decimal, rules: Rules) -> Quantity:
    """What is mixed 1:d for a regrowth on so much scalp."""
    spread, step = rules.decide("spread"), step_for(d, rules)
    need = mixed_needed(spread.number, area_cm2, regrowth_cm)
    bowl = need if step is None else round_up_to(need, step.number)
    cream = cream_in(bowl, d)
    return Quantity(need, bowl, cream, bowl - cream, spread, step)


def step_for(d: Decimal, rules: Rules) -> Decided | None:
    """The step that a bowl mixed 1:d is rounded up to; None for a ratio without one."""
    ratio = shown(d)
    if f"bowl_step.{ratio}" not in rules.defaults.rules:
        return None
    return rules.decide("bowl_step", ratio=ratio)


def area_of(areas: Iterable[str], scalp_cm2: Decimal) -> Decimal:
    """cm² of some areas of a scalp, by the rounded shares of ``AREA_SHARES``."""
    return scalp_cm2 * sum((AREA_SHARES[area] for area in areas), Decimal(0)) / 100


def mixed_needed(spread: Decimal, area_cm2: Decimal, regrowth_cm: Decimal) -> Decimal:
    """Grams of mixed product, not rounded; ``spread`` is grams for each cm² and cm of regrowth."""
    return spread * area_cm2 * regrowth_cm
