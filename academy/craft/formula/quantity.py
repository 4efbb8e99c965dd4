"""How much a head takes: area times regrowth times spread, rounded up to whole grams of both."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.formula.white_hair import AREA_SHARES

if TYPE_CHECKING:
    from collections.abc import Iterable


def area_of(areas: Iterable[str], scalp_cm2: Decimal) -> Decimal:
    """cm² of some areas of a scalp, by the rounded shares of ``AREA_SHARES``."""
    return scalp_cm2 * sum((AREA_SHARES[area] for area in areas), Decimal(0)) / 100


def mixed_needed(spread: Decimal, area_cm2: Decimal, regrowth_cm: Decimal) -> Decimal:
    """Grams of mixed product, not rounded; ``spread`` is grams for each cm² and cm of regrowth."""
    return spread * area_cm2 * regrowth_cm
