"""The bowl: colour (or powder) to developer by weight, always written 1:d. Grams throughout."""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal


def cream_in(bowl: Decimal, d: Decimal) -> Decimal:
    """Grams of colour in a bowl of this many grams mixed 1:d."""
    return bowl / (1 + d)


def developer_for(cream: Decimal, d: Decimal) -> Decimal:
    """Grams of developer for this much colour at 1:d."""
    return cream * d


def bowl_of(cream: Decimal, d: Decimal) -> Decimal:
    """Grams in all when this much colour is mixed 1:d."""
    return cream + developer_for(cream, d)


def ratio_of(cream: Decimal, developer: Decimal) -> Decimal:
    """The d of 1:d that was mixed."""
    return developer / cream


def shared(cream: Decimal, a: Decimal, b: Decimal) -> tuple[Decimal, Decimal]:
    """Grams of two shades in ``a`` parts to ``b`` parts of the colour."""
    first = cream * a / (a + b)
    return first, cream - first


def on_the_head(percent: Decimal, d: Decimal) -> Decimal:
    """Peroxide per cent in the mixture of a developer of ``percent`` at 1:d."""
    return percent * d / (1 + d)


def ingredient_on_the_head(percent_in_tube: Decimal, d: Decimal) -> Decimal:
    """Per cent of a colour ingredient in the mixture at 1:d."""
    return percent_in_tube / (1 + d)


def in_equal_parts(percent: Decimal, parts: int) -> Decimal:
    """Per cent in a bowl of so many equal parts, of which one holds ``percent``."""
    return percent / parts


def round_up_to(grams: Decimal, step: Decimal) -> Decimal:
    """The next multiple of ``step``; a figure that is one already stays."""
    return (grams / step).to_integral_value(rounding=ROUND_CEILING) * step
