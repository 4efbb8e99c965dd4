"""How long lightener has lain on the hair, against its ceiling. Times in minutes.

The ceiling is common practice, no source: web pages give 45 to 50 min. It may only be made
shorter. From when the screen says "near the ceiling" is an academy rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.measure import shown

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.formula.lift import Place
    from academy.craft.rules import Decided, Rules


class Nearness(StrEnum):
    """How far the ceiling still is."""

    WITHIN = "within"
    NEAR = "near"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class Exposure:
    """Lightener after so many minutes; ``sentence`` says what was found, never that it is safe."""

    minutes: Decimal
    ceiling: Decided
    nearness: Nearness
    sentence: str


def lightener_exposure(minutes: Decimal, place: Place, rules: Rules) -> Exposure:
    """Compare with the ceiling of lightener here; exactly at the ceiling is near, not over."""
    ceiling = rules.decide("development", process=place.lightener, what="ceiling")
    been, most = f"{shown(minutes)} min", f"{shown(ceiling.number)} min"
    if minutes > ceiling.number:
        nearness, sentence = Nearness.OVER, f"{been} is past the ceiling of {most}. Rinse now."
    elif minutes >= min(rules.number("lightener_warn"), ceiling.number):
        nearness, sentence = Nearness.NEAR, f"{been} is near the ceiling of {most}."
    else:
        nearness, sentence = Nearness.WITHIN, f"{been} of at most {most}."
    return Exposure(minutes, ceiling, nearness, sentence)
