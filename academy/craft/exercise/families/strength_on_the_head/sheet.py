"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.family import figure
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.bowl import INGREDIENTS
from academy.craft.formula.limits import within
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import Kind, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from academy.craft.exercise.families.strength_on_the_head.bowls import Mixture


def text_of(drawn: Mixture) -> str:
    """One bowl, or the bottle that one needs."""
    if drawn.level == Level.EXAM:
        return (
            f"You mix 1:{shown(drawn.d)} and want {shown(drawn.strength)} % peroxide on the "
            f"head. {_tube_text(drawn)}Which developer do you take? How much of the ingredient "
            "is on the head, and is it within the limit?"
        )
    mixed = (
        f"You mix {shown(drawn.colour)} g of colour with as much "
        f"{shown(drawn.percent)} % developer and as much conditioner. "
        if drawn.three
        else f"You mix {shown(drawn.colour)} g of colour with {shown(drawn.percent)} % "
        f"developer at 1:{shown(drawn.d)}. "
    )
    asked = "How much developer is that, and how strong is the peroxide on the head?"
    if drawn.level == Level.FIRST:
        return mixed + asked
    return (
        f"{mixed}{_tube_text(drawn)}{asked} How much of the ingredient is there, and is it "
        "within the limit?"
    )


def givens_of(drawn: Mixture) -> tuple[Given, ...]:
    """The figures of the text."""
    ratio = (
        Given("Colour, developer, conditioner", "1:1:1")
        if drawn.three
        else Given("Colour to developer", f"1:{shown(drawn.d)}")
    )
    bottle = (
        (Given("Wanted on the head", shown(drawn.strength), "%"),)
        if drawn.level == Level.EXAM
        else (
            Given("Colour", shown(drawn.colour), "g"),
            Given("Developer", shown(drawn.percent), "%"),
        )
    )
    if not drawn.ingredient:
        return *bottle, ratio
    name = INGREDIENTS[drawn.ingredient]
    return (
        *bottle,
        ratio,
        Given(f"In the tube, {name}", shown(drawn.in_tube), "%", "In the tube"),
        Given(f"Limit on the head, {name}", shown(drawn.limit), "%", "Limit on the head"),
    )


def lines_of(drawn: Mixture, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Developer, bowl, peroxide and its strength; the ingredient and its limit."""
    if drawn.level == Level.EXAM:
        first: tuple[Line, ...] = (
            Line(
                "Developer in the bottle",
                f"{shown(drawn.strength)} × {shown(drawn.parts)} ÷ {shown(drawn.d)}",
                shown_as(Kind.STRENGTH, drawn.percent),
                "percent",
            ),
        )
        bowl = f"{shown(drawn.in_tube)} ÷ {shown(drawn.parts)}"
        return first + _law_lines(drawn, bowl, drawn.on_head, own)
    developer = figure(own.get("developer"), developer_for(drawn.colour, drawn.d))
    total = drawn.bowl(developer)
    lines = _bowl_lines(drawn, developer)
    if drawn.level == Level.FIRST:
        return lines
    sum_ = f"{shown(drawn.in_tube)} × {shown(drawn.colour)} g ÷ {shown(total)} g"
    found = drawn.in_tube * drawn.colour / total
    return lines + _law_lines(drawn, sum_, found, own)


def _tube_text(drawn: Mixture) -> str:
    return (
        f"The tube holds {shown(drawn.in_tube)} % {INGREDIENTS[drawn.ingredient]}; the limit is "
        f"{shown(drawn.limit)} % on the head. "
    )


def _bowl_lines(drawn: Mixture, developer: Decimal) -> tuple[Line, ...]:
    colour, percent, total = drawn.colour, drawn.percent, drawn.bowl(developer)
    peroxide = developer * percent / 100
    weighed = [colour, developer] + ([drawn.conditioner] if drawn.three else [])
    right = developer_for(colour, drawn.d)
    return (
        Line(
            "Developer", f"{shown(colour)} g × {shown(drawn.d)}", f"{shown(right)} g", "developer"
        ),
        Line("Bowl", " + ".join(f"{shown(weight)} g" for weight in weighed), f"{shown(total)} g"),
        Line("Peroxide", f"{shown(developer)} g × {shown(percent)} ÷ 100", f"{shown(peroxide)} g"),
        Line(
            "On the head, peroxide",
            f"{shown(peroxide)} g ÷ {shown(total)} g × 100",
            shown_as(Kind.STRENGTH, percent * developer / total),
            "strength",
        ),
    )


def _law_lines(
    drawn: Mixture, sum_: str, found: Decimal, own: Mapping[str, Value]
) -> tuple[Line, ...]:
    name = INGREDIENTS[drawn.ingredient]
    on_head = figure(own.get("ingredient"), found)
    kept = within(on_head, drawn.limit)
    return (
        Line(f"On the head, {name}", sum_, shown_as(Kind.STRENGTH, found), "ingredient"),
        Line(
            "Within the limit?",
            f"{shown(on_head, 2)} % is {'at most' if kept else 'more than'} {shown(drawn.limit)} %",
            "Yes" if kept else "No",
            "within",
        ),
    )
