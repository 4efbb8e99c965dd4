"""Lift: how many depths, with which product and strength, and how much powder.

Lift by strength is common practice, no source, and a rule of thumb only; so is the choice between
colour and lightener. The top strengths of lightener are academy rules that may only be made
stricter. Depths are whole numbers from 1 to 10, strengths per cent, weights grams.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.foils import powder_for
from academy.craft.measure import round_half_up, shown
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.rules import Decided, Rules

LIFT_NOTE = (
    "A rule of thumb. Some educators dispute it: lift also depends on the shade and the hair."
)
HIGH_LIFT_FROM = 6
"""High-lift colour is for natural hair of this depth or lighter."""

ACCEPTED_MOST: Mapping[Decimal, Decimal] = {Decimal(3): Decimal(1)}
"""Lift that an answer may name beside the rule: with 3 % one depth is taught as well."""

_STRENGTHS = (Decimal(3), Decimal(6), Decimal(9), Decimal(12))


class Place(StrEnum):
    """Where the product lies."""

    FOILS = "foils"
    SCALP = "scalp"

    @property
    def lightener(self) -> str:
        """The key of lightener here: kind of label, mixing ratio, process and task."""
        return f"lightener_{self.value}"


class ProductKind(StrEnum):
    """What lifts, or does not."""

    DEPOSIT = "deposit"
    PERMANENT = "permanent"
    HIGH_LIFT = "high_lift"
    LIGHTENER = "lightener"


PRODUCT_OF: Mapping[str, ProductKind] = {
    "deposit": ProductKind.DEPOSIT,
    "lift_1_2": ProductKind.PERMANENT,
    "lift_3": ProductKind.PERMANENT,
    "high_lift": ProductKind.HIGH_LIFT,
    "lightener_foils": ProductKind.LIGHTENER,
    "lightener_scalp": ProductKind.LIGHTENER,
}
"""The product by task, the tasks being those of the rule ``developer_strength``."""


@dataclass(frozen=True, slots=True)
class Lift:
    """Depths of lift by permanent colour; ``accepted_most`` is the most an answer may name."""

    least: Decimal
    most: Decimal
    accepted_most: Decimal


@dataclass(frozen=True, slots=True)
class Hair:
    """What is on the head: depth 1 to 10, coloured before or not, and where it is worked on."""

    depth: int
    tinted: bool
    place: Place


@dataclass(frozen=True, slots=True)
class Ladder:
    """The most depths that permanent colour lifts with 6 and 9 %, and high-lift with 12 %."""

    most_6: Decimal
    most_9: Decimal
    most_12: Decimal

    @classmethod
    def of(cls, rules: Rules) -> Ladder:
        """Taken from the rule ``lift``."""
        return cls(*(_end("most", strength, rules) for strength in _STRENGTHS[1:]))

    def task_for(self, lift: Decimal, hair: Hair) -> str:
        """The first task that fits, a key of ``PRODUCT_OF``.

        No lift is a deposit; tinted hair and foils take lightener, since colour does not lift
        colour and the ladder is for the scalp; on natural hair at the scalp colour climbs the
        ladder as far as it reaches, and lightener does the rest.
        """
        if lift <= 0:
            return "deposit"
        if hair.tinted or hair.place is Place.FOILS:
            return hair.place.lightener
        if lift <= self.most_6:
            return "lift_1_2"
        if lift <= self.most_9:
            return "lift_3"
        if lift <= self.most_12 and hair.depth >= HIGH_LIFT_FROM:
            return "high_lift"
        return hair.place.lightener


def lift_needed(present: int, target: int) -> Decimal:
    """Depths to gain; below zero where the hair goes darker."""
    return Decimal(target - present)


def lift_with(percent: Decimal, rules: Rules, *, tinted: bool = False) -> Lift:
    """What permanent colour lifts with a developer of 3, 6, 9 or 12 %; ``FormulaError`` for others.

    Nothing on tinted hair: colour does not lift colour.
    """
    if percent not in _STRENGTHS:
        raise FormulaError(
            f"Lift is taught for 3, 6, 9 and 12 %, not for {shown(percent)} %. Choose one of them."
        )
    if tinted:
        return Lift(Decimal(0), Decimal(0), Decimal(0))
    least, most = _end("least", percent, rules), _end("most", percent, rules)
    return Lift(least, most, max(most, ACCEPTED_MOST.get(percent, most)))


def strength_for(task: str, rules: Rules) -> Decided:
    """The developer for a task, per cent; lightener never above its limit."""
    decided = rules.decide("developer_strength", task=task)
    if PRODUCT_OF[task] is not ProductKind.LIGHTENER:
        return decided
    limit = lightener_limit(Place(task.removeprefix("lightener_")), rules)
    return limit if limit.number < decided.number else decided


def lightener_limit(place: Place, rules: Rules) -> Decided:
    """The strongest developer allowed for lightener here: the strictest of label and rule."""
    task = "lightener_foils_top" if place is Place.FOILS else "lightener_scalp"
    top = rules.decide("developer_strength", task=task)
    label = rules.label
    if label is None or label.kind != place.lightener or not label.strengths:
        return top
    most = max(label.strengths)
    if most >= top.number:
        return top
    sentence = f"{shown(most)} %, from the label of {label.name}"
    return replace(top, value=most, decided_by=DecidedBy.LABEL, sentence=sentence)


def powder_factor(place: Place, length: str, rules: Rules) -> Decided:
    """Grams of powder for one foil, or for a full head at the scalp, by length of the hair."""
    if place is Place.FOILS:
        return rules.decide("powder_per_foil", hair=length)
    return rules.decide("quantity", service=f"full_{length}")


def powder_needed(place: Place, factor: Decimal, foils: int) -> Decimal:
    """Grams of powder, to whole grams as it is weighed; ``foils`` count in foils only."""
    return round_half_up(powder_for(Decimal(foils), factor) if place is Place.FOILS else factor)


def _end(end: str, percent: Decimal, rules: Rules) -> Decimal:
    return rules.number("lift", strength=shown(percent), end=end)
