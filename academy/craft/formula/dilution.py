"""Thinning a developer with something that holds no peroxide. Grams and per cent throughout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.formula.errors import FormulaError
from academy.craft.measure import Ratio, shown

if TYPE_CHECKING:
    from decimal import Decimal


def stock_for(total: Decimal, stock_percent: Decimal, wanted_percent: Decimal) -> Decimal:
    """Grams of stock in ``total`` grams of the wanted strength; the rest is neutral."""
    _check(stock_percent, wanted_percent)
    return total * wanted_percent / stock_percent


def total_from(stock: Decimal, stock_percent: Decimal, wanted_percent: Decimal) -> Decimal:
    """Grams in all when ``stock`` grams are thinned to the wanted strength."""
    _check(stock_percent, wanted_percent)
    return stock * stock_percent / wanted_percent


def neutral_to_add(stock: Decimal, stock_percent: Decimal, wanted_percent: Decimal) -> Decimal:
    """Grams of neutral that thin ``stock`` grams to the wanted strength."""
    return total_from(stock, stock_percent, wanted_percent) - stock


def thinned(stock: Decimal, stock_percent: Decimal, neutral: Decimal) -> Decimal:
    """Per cent of ``stock`` grams after ``neutral`` grams were added."""
    return stock * stock_percent / (stock + neutral)


def parts(stock_percent: Decimal, wanted_percent: Decimal) -> Ratio:
    """Parts stock : neutral. ``FormulaError`` where nothing has to be added."""
    _check(stock_percent, wanted_percent)
    if stock_percent == wanted_percent:
        raise FormulaError(f"The stock is {shown(stock_percent)} % already: add nothing.")
    return Ratio.of(wanted_percent, stock_percent - wanted_percent)


def _check(stock_percent: Decimal, wanted_percent: Decimal) -> None:
    if wanted_percent <= 0:
        raise FormulaError("The wanted strength must be above zero.")
    if wanted_percent > stock_percent:
        raise FormulaError(
            f"Thinning cannot make {shown(wanted_percent)} % from {shown(stock_percent)} %: "
            "take a stronger stock."
        )
