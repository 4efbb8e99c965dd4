"""White hair: how much base shade, how much cream, where to start, and what decided each."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.formula.mixture import round_up_to
from academy.craft.measure import round_half_up, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.rules import Decided, Rules


class Resistance(StrEnum):
    """How the hair takes colour."""

    NORMAL = "normal"
    RESISTANT = "resistant"

    @property
    def other(self) -> Resistance:
        """The other column of the table."""
        return Resistance.RESISTANT if self is Resistance.NORMAL else Resistance.NORMAL

    @property
    def process(self) -> str:
        """The row of the development rule for permanent colour on white hair."""
        return f"permanent_white_{self.value}"


AREA_SHARES: Mapping[str, Decimal] = {
    "front": Decimal(22),
    "sides": Decimal(10),
    "crown": Decimal(22),
    "back": Decimal(36),
    "nape": Decimal(10),
}
"""Per cent of the scalp, rounded; computed from the project's own head geometry."""

EAR_TO_EAR = "ear_to_ear"
HALF_FROM = Decimal(25)


def base_share(white: Decimal, resistance: Resistance, rules: Rules) -> Decided:
    """Per cent of the colour cream that is the natural shade, and who decided it.

    A label with bands of its own wins; else ``white_rule`` chooses: the bands, always half from
    25 % white on, or as much as the white itself.
    """
    banded = rules.decide("white_base_share", resistance=resistance.value, white=white)
    chosen = rules.decide("white_rule")
    if chosen.word == "bands" or banded.decided_by == "label":
        return banded
    share = (Decimal(50) if white >= HALF_FROM else Decimal(0)) if chosen.word == "half" else white
    return replace(chosen, value=share, unit="%", sentence=_by_method(chosen, share))


def white_of_head(by_area: Mapping[str, Decimal]) -> Decimal:
    """White per cent of the head: the mean of the areas weighted by their size, not rounded."""
    weighted = sum((AREA_SHARES[area] * white for area, white in by_area.items()), Decimal(0))
    return weighted / sum((AREA_SHARES[area] for area in by_area), Decimal(0))


def to_nearest_five(white: Decimal) -> Decimal:
    """White per cent as it is stated, to the nearest 5, halves up."""
    return round_half_up(white / 5) * 5


def white_percent(white_hairs: int, hairs: int) -> Decimal:
    """Share of hairs without pigment: every second hair white is 50 %."""
    return Decimal(100) * white_hairs / hairs


def start_area(by_area: Mapping[str, Decimal], lead: Decimal) -> str:
    """The whitest area if it leads the next by ``lead`` points; else ear to ear."""
    ranked = sorted(by_area, key=lambda area: by_area[area], reverse=True)
    leads = by_area[ranked[0]] - by_area[ranked[1]] >= lead
    return ranked[0] if leads else EAR_TO_EAR


def cream_needed(
    spread: Decimal, area_cm2: Decimal, regrowth_cm: Decimal, d: Decimal, step: Decimal
) -> Decimal:
    """Grams of colour cream for a regrowth at 1:d, rounded up to a multiple of ``step``.

    ``spread`` is grams of mixed product for each cm² of scalp and cm of regrowth.
    """
    return round_up_to(spread * area_cm2 * regrowth_cm / (1 + d), step)


def needs_presoftening(white: Decimal, resistance: Resistance, rules: Rules) -> bool:
    """Resistant hair from ``presoften_white_from`` on."""
    return resistance is Resistance.RESISTANT and white >= rules.number("presoften_white_from")


def _by_method(chosen: Decided, share: Decimal) -> str:
    """The sentence of the rule that chose the method, about the share that follows from it."""
    _, _, whose = chosen.sentence.partition(", ")
    return f"{shown(share)} %, by the {chosen.word} rule, {whose}"
