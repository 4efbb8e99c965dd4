"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.legal_and_safety_gate.card import Card
from academy.craft.exercise.families.legal_and_safety_gate.sheet import (
    NEEDS,
    choices_of,
    givens_of,
    lines_of,
    own_hours,
    own_reasons,
    text_of,
)
from academy.craft.exercise.families.legal_and_safety_gate.slips import slips_of
from academy.craft.exercise.families.legal_and_safety_gate.throwing import settle, throw_card
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, scalars_of
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.bowl import INGREDIENTS
from academy.craft.measure import YES_OR_NO, Kind, Several, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class LegalAndSafetyGate:
    """Exercise family ``legal-and-safety-gate``."""

    key = "legal-and-safety-gate"
    version = 1
    title = "Legal and safety gate"
    trains = "May this go ahead, and why not"
    parameters = Card

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Card] | None:
        """An appointment card with none, one or several reasons against it."""
        thrown = throw_card(dice, level, rules)
        return None if thrown is None else Drawn(*thrown)

    def under(self, drawn: Card, rules: Rules) -> Drawn[Card]:
        """The same card under other hours, days, age or limits."""
        return Drawn(*settle(drawn, rules))

    def identity(self, drawn: Card) -> str:
        """Everything on the card, and the bounds; not who set them."""
        kept = scalars_of(drawn).items()
        return "/".join(str(value) for name, value in kept if not name.endswith(("_rule", "_by")))

    def key_of(self, drawn: Card) -> dict[str, Value]:
        """Hours or days, the mixture, the reasons and the verdict."""
        against = drawn.against
        key: dict[str, Value] = {
            "reasons": Several.of(*map(str, against)),
            "go_ahead": "no" if against else "yes",
            "earliest": drawn.earliest,
        }
        if drawn.days is None:
            key["hours"] = drawn.hours
        else:
            key["days"] = Decimal(drawn.days)
        if drawn.strength is not None and drawn.mixed is not None:
            key |= {"strength": drawn.strength, "ingredient": drawn.mixed}
        return key

    def fields(self, drawn: Card, tolerances: Tolerances) -> tuple[Field, ...]:
        """Figures first, then the reasons, the verdict (double weight) and the earliest time."""
        return tuple(replace(field, needs=NEEDS[field.key]) for field in _asked(drawn, tolerances))

    def mistakes(self, drawn: Card) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Card) -> str:
        """One appointment."""
        return text_of(drawn)

    def givens(self, drawn: Card) -> tuple[Given, ...]:
        """The appointment card."""
        return tuple(givens_of(drawn))

    def lines(self, drawn: Card, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Age, test, reading, questions, mixture, verdict."""
        return tuple(lines_of(drawn, own))

    def follow(self, drawn: Card, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """The reasons on own hours or days and the own ingredient; never the verdict."""
        if field != "reasons":
            return
        hours, ingredient = own_hours(own), own.get("ingredient")
        said = []
        if hours is not None:
            figure = own.get("days", hours)
            unit = "days" if "days" in own else "h"
            said.append(f"your {shown(figure)} {unit}" if isinstance(figure, Decimal) else "")
        if isinstance(ingredient, Decimal):
            said.append(f"your {shown(ingredient, 2)} %")
        if said:
            yield Follow(Several.of(*map(str, own_reasons(drawn, own))), " and ".join(said))


def _asked(card: Card, tolerances: Tolerances) -> Iterator[Field]:
    if card.days is None:
        yield Field("hours", "Hours since the test", Kind.HOURS)
    else:
        yield Field("days", "Days since the test", Kind.COUNT)
    if card.level != Level.FIRST:
        near = tolerances.strength
        yield Field("strength", "Peroxide on the head", Kind.STRENGTH, tolerance=near)
        label = f"On the head, {INGREDIENTS[card.ingredient]}"
        yield Field("ingredient", label, Kind.STRENGTH, tolerance=near)
    yield Field("reasons", "Reasons against it", Kind.SEVERAL, choices=choices_of(card))
    yield Field(
        "go_ahead",
        "Go ahead?",
        Kind.YES_NO,
        weight=2,
        safety=Safety.YES_FOR_NO,
        choices=YES_OR_NO,
    )
    yield Field("earliest", "Earliest time", Kind.DAY_TIME, or_none=True)
