"""What a sentence can be about, which slip is behind a wrong one, and what helps."""

from __future__ import annotations

from enum import StrEnum

from academy.craft.measure import Choice

NO_SLIP = "no_slip"


class Template(StrEnum):
    """What a sentence is about."""

    MIXTURE = "mixture"
    VOLUME = "volume"
    BOTTLE = "bottle"
    HALVES = "halves"
    RATIO = "ratio"
    LIMIT = "limit"
    COVER = "cover"
    TINT = "tint"
    DATES = "dates"
    CLOCKS = "clocks"


class Slip(StrEnum):
    """What is behind a wrong sentence."""

    MEAN = "mean"
    WATER = "water"
    THIRD = "third"
    BOTTLE = "bottle"
    SUBTRACT = "subtract"
    TURNED = "turned"
    COVERS = "covers"
    LIFTS = "lifts"
    DATES = "dates"
    ONE_CLOCK = "one_clock"


_NAMES = {
    Slip.MEAN: "The plain mean taken, the weights forgotten",
    Slip.WATER: "The weaker one taken for water",
    Slip.THIRD: "One third taken for 0.3",
    Slip.BOTTLE: "The bottle taken for the mixture",
    Slip.SUBTRACT: "Per cent taken off instead of halved",
    Slip.TURNED: "The two sides of the ratio turned round",
    Slip.COVERS: "More strength taken for more cover",
    Slip.LIFTS: "Colour taken to lift colour",
    Slip.DATES: "Dates counted instead of hours",
    Slip.ONE_CLOCK: "One clock taken for all foils",
}
HELPS = {
    Slip.MEAN: "The heavier part pulls the mean.",
    Slip.WATER: "The weaker one holds peroxide too.",
    Slip.THIRD: "0.3 times, not one third.",
    Slip.SUBTRACT: "Halve it.",
    Slip.TURNED: "The larger part is the developer.",
    Slip.COVERS: "More strength lifts; it does not cover.",
    Slip.LIFTS: "Colour does not lift colour.",
    Slip.DATES: "Count hours.",
    Slip.ONE_CLOCK: "Each foil has its own clock.",
}
_RING = tuple(Slip)
OWN = {
    Template.MIXTURE: Slip.MEAN,
    Template.VOLUME: Slip.THIRD,
    Template.BOTTLE: Slip.BOTTLE,
    Template.HALVES: Slip.SUBTRACT,
    Template.RATIO: Slip.TURNED,
    Template.LIMIT: Slip.BOTTLE,
    Template.COVER: Slip.COVERS,
    Template.TINT: Slip.LIFTS,
    Template.DATES: Slip.DATES,
    Template.CLOCKS: Slip.ONE_CLOCK,
}


def reasons_for(template: Template) -> tuple[Choice, ...]:
    """Six reasons: those of the template, some of others, and none; in the order of their words."""
    own = _RING.index(OWN[template])
    around = [_RING[(own + step) % len(_RING)] for step in (-2, -1, 0, 1, 2)]
    offered = [Choice(str(slip), _NAMES[slip]) for slip in around]
    offered.append(Choice(NO_SLIP, "No slip: it is right", ("none", "no slip", "nothing")))
    return tuple(sorted(offered, key=lambda choice: choice.label))
