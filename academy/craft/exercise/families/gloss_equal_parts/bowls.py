"""A gloss, the rules that are settled for it, and its slips."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Drawn
from academy.craft.exercise.question import Level, Mistake
from academy.craft.exercise.shades import two_shades
from academy.craft.formula.mixture import in_equal_parts
from academy.craft.measure import Choice, shown
from academy.craft.rules import DecidedBy, Label

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.rules import Rules

PLAIN, LABEL, AT_SHADE = "plain", "label", "at_shade"
TOTALS = tuple(Decimal(grams) for grams in (60, 75, 90, 105, 120))
LABEL_STRENGTHS = (Decimal("1.5"), Decimal(3))
PARTS = 3
COLOUR_MINUTES = 35
RINSE, WAIT = "rinse", "wait"
WHAT_NOW = (
    Choice(RINSE, "Rinse", ("rinse now", "take it off")),
    Choice("look_again", "Leave it on and look again"),
    Choice(WAIT, "Leave it on until the latest rinse", ("leave it",)),
)


@dataclass(frozen=True, slots=True)
class Gloss:
    """Weights in grams, strengths in per cent, times in minutes; ``form`` is how it is asked.

    ``second`` are the parts of the second shade to ``first`` of the first, 0 for one shade.
    ``label_percent`` is None on a label without strength, ``label_ceiling`` on one without time.
    """

    level: str
    form: str
    total: Decimal
    percent: Decimal = Decimal(0)
    first: int = 1
    second: int = 0
    depth: int = 0
    tone: str = ""
    applied_at: int = 0
    look_after: Decimal = Decimal(0)
    latest_after: Decimal = Decimal(0)
    house_percent: Decimal = Decimal(0)
    house_by: str = ""
    label: str = ""
    label_percent: Decimal | None = None
    label_ceiling: Decimal | None = None

    @property
    def third(self) -> Decimal:
        """Grams of each of the three."""
        return self.total / PARTS

    @property
    def strength(self) -> Decimal:
        """Peroxide in the bowl."""
        return in_equal_parts(self.percent, PARTS)

    @property
    def look_at(self) -> Decimal:
        """First look, minutes after midnight."""
        return self.applied_at + self.look_after

    @property
    def latest_at(self) -> Decimal:
        """Latest rinse, minutes after midnight."""
        return self.applied_at + self.latest_after

    @property
    def shades(self) -> tuple[str, str]:
        """The two shades in plain words."""
        return two_shades(self.depth, self.tone)

    @property
    def decided_by(self) -> str:
        """Who decided the strength."""
        return self.house_by if self.label_percent is None else str(DecidedBy.LABEL)


def settled(gloss: Gloss, label: Label | None, rules: Rules) -> Drawn[Gloss]:
    """The gloss with the strength and the times that label and house come to."""
    house = rules.with_label(None).decide("developer_strength", task="gloss")
    under = rules.with_label(label)
    strength = under.decide("developer_strength", task="gloss")
    look = under.decide("development", process="gloss", what="first_check")
    latest = under.decide("development", process="gloss", what="ceiling")
    found = replace(
        gloss,
        percent=strength.number,
        look_after=look.number,
        latest_after=latest.number,
    )
    if gloss.level == Level.FIRST:
        return Drawn(found, (strength,))
    if label is not None:
        found = replace(
            found,
            house_percent=house.number,
            house_by=str(house.decided_by),
            label=label.name,
            label_percent=strength.number if strength.decided_by is DecidedBy.LABEL else None,
            label_ceiling=label.ceiling,
        )
    return Drawn(found, (strength, look, latest))


def label_of(gloss: Gloss, rules: Rules) -> Label | None:
    """The label a gloss was drawn under: that of the paper, or what was printed of another."""
    if not gloss.label:
        return None
    if rules.label is not None and rules.label.name == gloss.label:
        return rules.label
    strengths = () if gloss.label_percent is None else (gloss.label_percent,)
    return Label(gloss.label, "gloss", strengths=strengths, ceiling=gloss.label_ceiling)


def slips_of(drawn: Gloss) -> Iterator[Mistake]:
    """The slips of the trade page; those of lines that are not asked fall away."""
    total = drawn.total
    yield Mistake("no-conditioner", "colour", total / 2, "Three parts.")
    yield Mistake("double-developer", "colour", total / 4, "The developer is one part here.")
    yield Mistake("each-whole", "colour", total, f"{shown(total)} g is the bowl.")
    if drawn.level == Level.FIRST:
        return
    percent = drawn.percent
    yield Mistake("bottle", "strength", percent, "Two thirds of the bowl hold no peroxide.")
    yield Mistake("one-half", "strength", percent / 2, "One part of three, not of two.")
    if drawn.label_percent is not None and drawn.house_percent != percent:
        house, sentence = in_equal_parts(drawn.house_percent, PARTS), "The label decides."
        yield Mistake("house-strength", "strength", house, sentence)
        yield Mistake("house-strength", "decided_by", drawn.house_by, sentence)
    yield from _clock_slips(drawn)


def _clock_slips(drawn: Gloss) -> Iterator[Mistake]:
    yield Mistake(
        "look-late", "first_look", drawn.latest_at, "That is the end, not the first look."
    )
    off = "rinse" if drawn.form == AT_SHADE else "latest"
    yield Mistake(
        "colour-clock",
        off,
        Decimal(drawn.applied_at + COLOUR_MINUTES),
        "A gloss is watched, not timed like a colour.",
    )
    at_shade = "At shade it comes off."
    yield Mistake("latest-as-rinse", "rinse", drawn.latest_at, at_shade)
    yield Mistake("latest-as-rinse", "now", WAIT, at_shade)
