"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.neutralise_a_tone.plan import LIFT_FIRST, Toner, settled
from academy.craft.exercise.families.neutralise_a_tone.ring import ring_of
from academy.craft.exercise.families.neutralise_a_tone.sheet import (
    TONES,
    TONES_OR_LIFT,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.families.neutralise_a_tone.slips import slips_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.undertone import HowStrong
from academy.craft.measure import NONE, Kind, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

LIFT_ONE_IN = 5
LEAST_TARGET = 3


class NeutraliseATone:
    """Exercise family ``neutralise-a-tone``."""

    key = "neutralise-a-tone"
    version = 1
    title = "Neutralising a tone"
    trains = "Naming the stage and choosing its opposite, in a sensible amount"
    parameters = Toner

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Toner]:
        """A stage reached and a depth wanted; once in five at level exam a lighter one."""
        if level is Level.EXAM and dice.chance(LIFT_ONE_IN):
            reached = dice.whole(4, 9)
            target = dice.whole(reached + 1, min(10, reached + 2))
        else:
            reached = dice.whole(4, 10)
            target = dice.whole(max(LEAST_TARGET, reached - 2), reached)
        how_strong = dice.pick(tuple(HowStrong))
        cream = Decimal(dice.whole(20, 60, 10))
        return settled((level, reached, target, how_strong, cream), rules)

    def under(self, drawn: Toner, rules: Rules) -> Drawn[Toner]:
        """Stage, counter-tone, share and ratio come anew."""
        how_strong = HowStrong(drawn.how_strong)
        thrown = (Level(drawn.level), drawn.reached, drawn.target, how_strong, drawn.cream)
        return settled(thrown, rules)

    def identity(self, drawn: Toner) -> str:
        """Depths and strength of the tone; from level working on the cream and its ratio."""
        hair = f"{drawn.reached}-{drawn.target}/{drawn.how_strong}"
        return f"first/{hair}" if drawn.level == Level.FIRST else f"{hair}/{drawn.cream}/{drawn.d}"

    def key_of(self, drawn: Toner) -> dict[str, Value]:
        """Counter-tone by its wheel word, weights in grams; none where more lift is needed."""
        if drawn.lift_first:
            return {"tone": LIFT_FIRST, "counter": NONE, "partner": NONE, "developer": NONE}
        return {
            "tone": drawn.tone,
            "counter": drawn.counter,
            "partner": drawn.cream - drawn.counter,
            "developer": developer_for(drawn.cream, drawn.d),
        }

    def fields(self, drawn: Toner, tolerances: Tolerances) -> tuple[Field, ...]:
        """The counter-tone (double weight); from level working on the weights."""
        exam = drawn.level == Level.EXAM
        tone = Field(
            "tone",
            "Counter-tone, or what comes first" if exam else "Counter-tone",
            Kind.CHOICE,
            2,
            choices=TONES_OR_LIFT if exam else TONES,
            also=() if drawn.lift_first else drawn.also,
            needs=("Unwanted tone", "Wanted", "Depth reached"),
        )
        if drawn.level == Level.FIRST:
            return (tone,)

        def weighed(key: str, label: str, *needs: str) -> Field:
            near = tolerances.grams
            return Field(key, label, Kind.GRAMS, tolerance=near, or_none=exam, needs=needs)

        return (
            tone,
            weighed("counter", "Shade with the counter-tone", "Cream", "Unwanted tone"),
            weighed("partner", "Partner shade", "Cream"),
            weighed("developer", "Developer", "Cream", "Colour to developer"),
        )

    def mistakes(self, drawn: Toner) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Toner) -> str:
        """One stage, one wish."""
        return text_of(drawn)

    def givens(self, drawn: Toner) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Toner, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Stage, counter-tone, share and weights, and that a toner does not lift."""
        return lines_of(drawn, own)

    def follow(self, drawn: Toner, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """The partner on the own counter-tone; nothing else."""
        counter = own.get("counter")
        if field == "partner" and isinstance(counter, Decimal) and not drawn.lift_first:
            yield Follow(drawn.cream - counter, f"{shown(drawn.cream)} g − {grams(counter)}")

    def solved(self, drawn: Toner) -> Picture:
        """Stage and counter-tone on the ring, as they look."""
        return ring_of(drawn)
