"""A panel of foils by hand: how many, what share is taken, how much powder.

Lengths in mm, shares in per cent, weights in grams. This is the count that is worked on
paper; the head sheet plans on the head model instead (``academy.craft.head``).
"""

from __future__ import annotations

from decimal import Decimal

from academy.craft.formula.errors import FormulaError

WHOLE = Decimal(100)
"""The share of a slice: nothing is left out."""


def foil_count(run: Decimal, depth: Decimal, left: Decimal) -> Decimal:
    """Whole foils along a run: floor(run ÷ (depth + left)). Common practice, no source."""
    if depth <= 0 or left < 0:
        raise FormulaError("A foil takes some depth, and nothing less than nothing is left out.")
    return run // (depth + left)


def woven_share(stitch: Decimal, gap: Decimal) -> Decimal:
    """Per cent of a subsection that is picked out; with no gap it is a slice, all of it."""
    if stitch <= 0 or gap < 0:
        raise FormulaError("A weave needs a stitch above zero and a gap that is not below it.")
    return WHOLE * stitch / (stitch + gap)


def panel_share(depth: Decimal, left: Decimal, woven: Decimal) -> Decimal:
    """Per cent of a panel that goes into foils, by the woven share in per cent."""
    return depth / (depth + left) * woven


def left_for(share: Decimal, depth: Decimal, woven: Decimal) -> Decimal:
    """Millimetres to leave between foils so that ``share`` per cent of the panel is taken.

    ``FormulaError`` where the weave alone takes less than that.
    """
    if not 0 < share <= woven:
        raise FormulaError("The panel cannot take more than its foils do: weave a larger share.")
    return depth * (woven / share - 1)


def powder_for(foils: Decimal, a_foil: Decimal) -> Decimal:
    """Grams of powder at so many grams a foil."""
    return foils * a_foil
