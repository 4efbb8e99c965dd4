"""The figures of a plan on a head, in the same words wherever a plan is shown."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from django.utils.translation import gettext_lazy as _

from academy.craft.measure import round_half_up
from academy.web.numbers import write_figure

if TYPE_CHECKING:
    from django.utils.functional import Promise

    from academy.craft.head.foils import Plan

MM_IN_A_METRE = 1000


class Figure(NamedTuple):
    """A row of parts/figures.html."""

    label: str | Promise
    figure: str
    unit: str = ""
    css: str = ""


def plan_figures(laid: Plan, expected: tuple[int, int]) -> tuple[Figure, ...]:
    """Foils, partings and shares of a plan; `expected` are the fewest and the most foils."""
    lines = (
        Figure(_("Partings"), str(len(laid.partings))),
        Figure(_("Parting length"), rounded(laid.parting_mm / MM_IN_A_METRE, 2), "m"),
    )
    sectioned = Figure(_("Head sectioned"), in_percent(laid.sectioned_share), "%")
    if not laid.foils:
        return (*lines, sectioned)
    low, high = expected
    woven = laid.settings.gap_mm != 0
    return (
        Figure(_("Foils drawn"), str(len(laid.foils))),
        Figure(_("Foils to expect"), f"{low} to {high}" if low < high else str(low)),
        *lines,
        *((Figure(_("Stitches"), str(laid.stitches)),) if woven else ()),
        sectioned,
        Figure(
            _("Head woven out") if woven else _("Head in foils"), in_percent(laid.laid_share), "%"
        ),
    )


def in_percent(share: float) -> str:
    """A share 0..1 in whole per cent."""
    return rounded(share * 100, 0)


def rounded(value: float, places: int) -> str:
    """Half up, as every figure that people see."""
    return write_figure(round_half_up(Decimal(str(round(value, 6))), places))
