"""Peroxide strength: the trade table for everything people see, the exact conversion apart from it.

Trade: 10, 20, 30, 40 volume = 3, 6, 9, 12 %, per cent = 0.3 × volume (published: EU Annex III entry
12 for the last, medicine labels for the others). Exact: oxygen volume at 0 °C, for the science
module only; it never enters a mark or a limit.
"""

from __future__ import annotations

from decimal import Decimal

from academy.craft.measure import VOLUME_TO_PERCENT

PEROXIDE_G_PER_MOL = Decimal("34.014")
"""H2O2 from H 1.008 and O 15.999."""

ATMOSPHERE_L_PER_MOL = Decimal("22.41396954")
"""Molar volume of an ideal gas at 0 °C and 1 atm (CODATA 2018)."""

BAR_L_PER_MOL = Decimal("22.71095464")
"""Molar volume of an ideal gas at 0 °C and 1 bar (CODATA 2018)."""

MOLES_PEROXIDE_PER_MOLE_OXYGEN = 2


def percent_of_volume(volume: Decimal) -> Decimal:
    """Per cent of a developer named by volume, by the trade table: 20 vol gives 6."""
    return volume * VOLUME_TO_PERCENT


def volume_of_percent(percent: Decimal) -> Decimal:
    """Volume of a developer named in per cent, by the trade table: 6 % gives 20."""
    return percent / VOLUME_TO_PERCENT


def exact_moles_per_litre(volume: Decimal, molar_volume: Decimal = ATMOSPHERE_L_PER_MOL) -> Decimal:
    """Moles of peroxide in a litre that gives off ``volume`` litres of oxygen."""
    return volume / molar_volume * MOLES_PEROXIDE_PER_MOLE_OXYGEN


def exact_percent(volume: Decimal, molar_volume: Decimal = ATMOSPHERE_L_PER_MOL) -> Decimal:
    """Grams of peroxide in 100 ml of a solution of this volume strength, % w/v."""
    return exact_moles_per_litre(volume, molar_volume) * PEROXIDE_G_PER_MOL / 10


def exact_volume(percent: Decimal, molar_volume: Decimal = ATMOSPHERE_L_PER_MOL) -> Decimal:
    """Volume strength of a solution of this % w/v; the reverse of ``exact_percent``."""
    return percent * 10 / PEROXIDE_G_PER_MOL / MOLES_PEROXIDE_PER_MOLE_OXYGEN * molar_volume


def exact_volume_of_normality(normality: Decimal) -> Decimal:
    """Volume strength of a normal solution: one mole of peroxide is two equivalents."""
    return normality / 2 / MOLES_PEROXIDE_PER_MOLE_OXYGEN * ATMOSPHERE_L_PER_MOL


def percent_by_volume_made_up(
    stock_ml: Decimal, stock_percent_by_weight: Decimal, density: Decimal, total_ml: Decimal
) -> Decimal:
    """% w/v when ``stock_ml`` of a stock in % w/w (g per ml ``density``) is made up to a total."""
    return stock_ml * density * stock_percent_by_weight / total_ml
