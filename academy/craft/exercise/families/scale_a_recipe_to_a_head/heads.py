"""A regrowth with its recipe, what it is drawn from, and its slips."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.exercise.shades import two_shades
from academy.craft.formula.growth import CM_IN_AN_INCH, regrowth_after
from academy.craft.formula.mixture import round_up_to
from academy.craft.formula.quantity import area_of, mixed_needed
from academy.craft.measure import round_half_up

if TYPE_CHECKING:
    from collections.abc import Iterator

SCALPS = tuple(Decimal(cm2) for cm2 in (480, 500, 540, 590))
FIRST_SCALP = Decimal(540)
LENGTHS = tuple(Decimal(cm) for cm in ("1", "1.5", "2", "2.5", "3"))
LEAST_WEEKS, MOST_WEEKS = 4, 12
RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
TREATED = (
    ("front", "sides"),
    ("front", "crown"),
    ("sides", "crown"),
    ("crown", "back"),
    ("back", "nape"),
    ("front", "sides", "crown"),
    ("front", "sides", "nape"),
    ("sides", "back", "nape"),
    ("crown", "back", "nape"),
    ("front", "crown", "back"),
)
NEAR_AN_INCH = (Decimal("2.2"), Decimal("2.9"))
SUM_PLACES = 4
"""Decimals of a cm that the solution multiplies the regrowth with."""


@dataclass(frozen=True, slots=True)
class Regrowth:
    """Areas in cm², lengths in cm, weights in grams, the ratio as the d of 1:d.

    ``treated`` are areas of the scalp with spaces between them, ``weeks`` those since the last
    colour; both are empty where area and ``length`` are given.
    """

    level: str
    scalp: Decimal
    length: Decimal
    d: Decimal
    spread: Decimal
    step: Decimal
    treated: str = ""
    weeks: int = 0
    growth: Decimal = Decimal(0)
    a: int = 1
    b: int = 1
    depth: int = 0
    tone: str = ""

    @property
    def area(self) -> Decimal:
        """What is treated."""
        return area_of(self.treated.split(), self.scalp) if self.treated else self.scalp

    @property
    def regrowth(self) -> Decimal:
        """Given, or grown in the weeks."""
        return regrowth_after(self.weeks, self.growth) if self.weeks else self.length

    @property
    def need(self) -> Decimal:
        """Mixed product, not rounded."""
        return mixed_needed(self.spread, self.area, self.regrowth)

    @property
    def bowl(self) -> Decimal:
        """The need rounded up to the step."""
        return self.bowl_for(self.need)

    def bowl_for(self, need: Decimal) -> Decimal:
        """A need rounded up to the step."""
        return round_up_to(need, self.step)

    @property
    def shades(self) -> tuple[str, str]:
        """The two shades in plain words."""
        return two_shades(self.depth, self.tone)

    @property
    def is_fair(self) -> bool:
        """Figures rounded as they are printed lead to the same bowl, and the need adds up."""
        bowl, need = self.bowl, round_half_up(self.need, 1)
        answered, solved = (
            mixed_needed(self.spread, self.area, round_half_up(self.regrowth, places))
            for places in (2, SUM_PLACES)
        )
        adds_up = round_half_up(solved, 1) == need
        return adds_up and self.bowl_for(answered) == bowl == self.bowl_for(need)


def slips_of(drawn: Regrowth) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    need, regrowth = drawn.need, drawn.regrowth
    flat = mixed_needed(drawn.spread, drawn.area, Decimal(1))
    missing = "The regrowth length is missing."
    low, high = NEAR_AN_INCH
    in_the_need = not low <= regrowth <= high
    if in_the_need:
        yield Mistake("no-length", "need", flat, missing)
    down = (need / drawn.step).to_integral_value(rounding=ROUND_FLOOR) * drawn.step
    if not (in_the_need and drawn.bowl_for(flat) == down):
        yield Mistake("no-length", "bowl", drawn.bowl_for(flat), missing)
    if down > 0:
        yield Mistake("rounded-down", "bowl", down, "Round up: running out mid-head leaves a band.")
    yield Mistake("inches", "need", need / CM_IN_AN_INCH, "cm, not inches.")
    yield Mistake("need-as-cream", "cream", need, "The need is the whole bowl.")
    if drawn.level == Level.EXAM:
        yield from _whole_head(drawn)


def _whole_head(drawn: Regrowth) -> Iterator[Mistake]:
    sentence = "Only the zones you treat."
    need = mixed_needed(drawn.spread, drawn.scalp, drawn.regrowth)
    yield Mistake("whole-head", "area", drawn.scalp, sentence)
    yield Mistake("whole-head", "need", need, sentence)
    yield Mistake("whole-head", "bowl", drawn.bowl_for(need), sentence)
