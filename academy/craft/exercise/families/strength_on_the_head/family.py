"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.strength_on_the_head.bowls import (
    AIMED,
    RATIOS,
    STRENGTHS,
    Mixture,
    strength_slips,
    tube_percent,
    turned_slips,
)
from academy.craft.exercise.families.strength_on_the_head.sheet import givens_of, lines_of, text_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.bowl import INGREDIENTS
from academy.craft.formula.limits import within
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import YES_OR_NO, Kind, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

_MIX = ("Colour to developer", "Colour, developer")
NEEDS = {
    "developer": ("Colour", *_MIX),
    "strength": ("Developer", *_MIX, "Colour"),
    "percent": ("Wanted", *_MIX),
    "ingredient": ("In the tube", *_MIX),
    "within": ("Limit", "In the tube", *_MIX),
}


class StrengthOnTheHead:
    """Exercise family ``strength-on-the-head``."""

    key = "strength-on-the-head"
    version = 1
    title = "Strength on the head"
    trains = "Mixing weakens the developer, and the law looks at the mixture"
    parameters = Mixture

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Mixture] | None:
        """A bowl; after level first with an ingredient under, at or over its limit."""
        colour = Decimal(dice.whole(20, 80, 10))
        if level is Level.FIRST:
            return Drawn(Mixture(str(level), dice.pick(STRENGTHS), Decimal(1), colour))
        three = level is Level.WORKING and dice.chance(len(RATIOS) + 1)
        d = Decimal(1) if three else dice.pick(RATIOS)
        percent = dice.pick(AIMED[d] if level is Level.EXAM else STRENGTHS)
        ingredient = dice.pick(tuple(INGREDIENTS))
        plain = Mixture(str(level), percent, d, colour, three, ingredient)
        settled = self.under(plain, rules)
        limit = settled.parameters.limit
        in_tube = tube_percent(dice, limit * plain.parts)
        return replace(settled, parameters=replace(settled.parameters, in_tube=in_tube))

    def under(self, drawn: Mixture, rules: Rules) -> Drawn[Mixture]:
        """The same bowl; the limit comes anew."""
        if not drawn.ingredient:
            return Drawn(drawn)
        limit = rules.decide("legal_limit", ingredient=drawn.ingredient)
        return Drawn(replace(drawn, limit=limit.number), (limit,))

    def identity(self, drawn: Mixture) -> str:
        """Everything that enters a sum."""
        mix = "three" if drawn.three else str(drawn.d)
        tube = f"{drawn.ingredient}/{drawn.in_tube}"
        if drawn.level == Level.EXAM:
            return f"turned/{drawn.percent}/{mix}/{tube}"
        asked = f"{drawn.percent}/{mix}/{drawn.colour}"
        return f"{asked}/{tube}" if drawn.ingredient else asked

    def key_of(self, drawn: Mixture) -> dict[str, Value]:
        """Developer in grams, strengths in per cent, whether the ingredient keeps to its limit."""
        key: dict[str, Value] = {
            "developer": developer_for(drawn.colour, drawn.d),
            "strength": drawn.strength,
            "percent": drawn.percent,
        }
        if drawn.ingredient:
            key["ingredient"] = drawn.on_head
            key["within"] = "yes" if within(drawn.on_head, drawn.limit) else "no"
        return key

    def fields(self, drawn: Mixture, tolerances: Tolerances) -> tuple[Field, ...]:
        """Developer and strength (double weight), then the ingredient; exam: which developer."""

        def strength(key: str, label: str, weight: int = 1) -> Field:
            near, needs = tolerances.strength, NEEDS[key]
            return Field(key, label, Kind.STRENGTH, weight, near, needs=needs)

        near = tolerances.grams
        weighed = (
            Field("developer", "Developer", Kind.GRAMS, tolerance=near, needs=NEEDS["developer"]),
            strength("strength", "On the head, peroxide", 2),
        )
        if drawn.level == Level.FIRST:
            return weighed
        law = (
            strength("ingredient", f"On the head, {INGREDIENTS[drawn.ingredient]}"),
            Field(
                "within",
                "Within the limit?",
                Kind.YES_NO,
                safety=Safety.YES_FOR_NO,
                choices=YES_OR_NO,
                needs=NEEDS["within"],
            ),
        )
        if drawn.level == Level.EXAM:
            return strength("percent", "Developer in the bottle"), *law
        return weighed + law

    def mistakes(self, drawn: Mixture) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        if drawn.level == Level.EXAM:
            yield from turned_slips(drawn)
        else:
            yield from strength_slips(drawn)
        if not drawn.ingredient:
            return
        yield Mistake("tube-figure", "ingredient", drawn.in_tube, "The law looks at the mixture.")
        if drawn.d != 1:
            both = f"Count both parts: 1 + {shown(drawn.d)}."
            yield Mistake("tube-by-d", "ingredient", drawn.in_tube / drawn.d, both)

    def text(self, drawn: Mixture) -> str:
        """One bowl, or the bottle that one needs."""
        return text_of(drawn)

    def givens(self, drawn: Mixture) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Mixture, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Developer, bowl, peroxide and its strength; the ingredient and its limit."""
        return lines_of(drawn, own)

    def follow(self, drawn: Mixture, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Strength and ingredient in a bowl with the own developer; at level exam nothing."""
        developer = own.get("developer")
        if drawn.level == Level.EXAM or not isinstance(developer, Decimal):
            return
        total = drawn.bowl(developer)
        if field == "strength":
            over = f"{shown(drawn.percent)} × {shown(developer)} g ÷ {shown(total)} g"
            yield Follow(drawn.percent * developer / total, over)
        if field == "ingredient":
            over = f"{shown(drawn.in_tube)} × {shown(drawn.colour)} g ÷ {shown(total)} g"
            yield Follow(drawn.in_tube * drawn.colour / total, over)
