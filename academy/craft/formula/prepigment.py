"""Pre-pigmentation: when lightened hair is filled before it goes dark, with what, and how much.

From how many depths on is common practice, no source (2 or 3 are taught); the shade one depth
lighter than the target and half the grams of the colour are academy rules. The warmth is what
shows at the target depth (see ``undertone``). Depths are whole numbers from 1 to 10.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.undertone import LIGHTEST, Undertone, undertone_at

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Rules


@dataclass(frozen=True, slots=True)
class PrePigment:
    """The plan for light hair that goes dark; the filling itself only where it is ``needed``.

    ``needed_from`` is in depths, ``share`` in per cent of the cream of the later colour;
    ``filler_developer`` is 0 where the filling takes none, ``developer`` goes with the colour.
    """

    difference: Decimal
    needed_from: Decided
    needed: bool
    warmth: Undertone
    shade_depth: Decimal
    lighter: Decided
    share: Decided
    filler_developer: Decided
    developer: Decided

    def grams(self, cream: Decimal) -> Decimal:
        """Grams of pre-pigment for so many grams of colour cream on the same hair."""
        return pre_pigment_grams(cream, self.share.number)


def depths_darker(present: int, target: int) -> Decimal:
    """Steps from the present lightened depth down to the target; below zero if it is lighter."""
    return Decimal(present - target)


def is_needed(difference: Decimal, needed_from: Decimal) -> bool:
    """Whether so many depths darker need filling; exactly at the rule they do."""
    return difference >= needed_from


def pre_pigment_grams(cream: Decimal, share: Decimal) -> Decimal:
    """Grams of pre-pigment; ``share`` in per cent of the later colour."""
    return cream * share / 100


def pre_pigment(present: int, target: int, rules: Rules) -> PrePigment:
    """The plan under these rules; ``FormulaError`` where the hair is not to become darker."""
    difference = depths_darker(present, target)
    if difference <= 0:
        raise FormulaError(
            f"Filling is for hair that goes darker, for example from depth 9 to depth 6: depth "
            f"{target} is not darker than depth {present}."
        )
    needed_from = rules.decide("prepigment_from")
    lighter = rules.decide("prepigment_lighter")
    return PrePigment(
        difference=difference,
        needed_from=needed_from,
        needed=is_needed(difference, needed_from.number),
        warmth=undertone_at(target, rules),
        shade_depth=min(target + lighter.number, Decimal(LIGHTEST)),
        lighter=lighter,
        share=rules.decide("prepigment_cream_share"),
        filler_developer=rules.decide("developer_strength", task="prepigment"),
        developer=rules.decide("developer_strength", task="deposit"),
    )
