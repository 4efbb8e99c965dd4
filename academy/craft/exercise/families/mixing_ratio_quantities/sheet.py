"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import NOT_SAID, decided_line
from academy.craft.exercise.families.mixing_ratio_quantities.bowls import KINDS, Bowl
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.exercise.shades import recipe_of, shade_lines
from academy.craft.formula.mixture import cream_in, developer_for
from academy.craft.measure import Value, counted, shown
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Mapping

RULE_RATIOS = ("House rule, ratio", "Standard rule, ratio")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "cream": ("Bowl", "Colour to developer", "Label, ratio", *RULE_RATIOS),
    "shade_1": ("Depth",),
    "shade_2": ("Depth",),
    "developer": ("Colour to developer", "Colour cream", "Label, ratio", *RULE_RATIOS),
    "bowl": ("Colour cream", "Colour to developer"),
    "decided_by": ("Label, ratio", *RULE_RATIOS),
}


def text_of(drawn: Bowl) -> str:
    """One bowl to weigh out."""
    if drawn.level == Level.FIRST:
        return (
            f"You have weighed {shown(drawn.cream)} g of colour cream and mix it "
            f"1:{shown(drawn.d)}. How many grams of developer do you add, and how many grams "
            "are in the bowl then?"
        )
    recipe = recipe_of(drawn.shades, (drawn.a, drawn.b))
    if drawn.level == Level.WORKING:
        return (
            f"Your bowl must hold {shown(drawn.bowl)} g, mixed 1:{shown(drawn.d)}. {recipe} "
            "Weigh it out."
        )
    return (
        f"Your bowl must hold {shown(drawn.bowl)} g of {KINDS[drawn.kind]}. {_house(drawn)}; "
        f"{_label(drawn)}. {recipe} Weigh it out and say what decided the ratio."
    )


def givens_of(drawn: Bowl) -> tuple[Given, ...]:
    """The figures of the text."""
    if drawn.level == Level.FIRST:
        return (
            Given("Colour cream", shown(drawn.cream), "g"),
            Given("Colour to developer", f"1:{shown(drawn.d)}"),
        )
    first, second = drawn.shades
    rows = [
        Given("Bowl", shown(drawn.bowl), "g"),
        Given(f"{first.capitalize()} to {second}", f"{drawn.a}:{drawn.b}"),
    ]
    if drawn.house_d is None:
        rows.insert(1, Given("Colour to developer", f"1:{shown(drawn.d)}"))
    else:
        who = "House rule" if drawn.house_by == DecidedBy.HOUSE else "Standard rule"
        said = NOT_SAID if drawn.label_d is None else f"1:{shown(drawn.label_d)}"
        rows += [
            Given(f"{who}, ratio", f"1:{shown(drawn.house_d)}"),
            Given("Label, ratio", said),
        ]
    return tuple(rows)


def lines_of(drawn: Bowl, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Parts of the bowl, one part, shades, developer, and the sum back to the bowl."""
    if drawn.level == Level.FIRST:
        return _forward_lines(drawn, own)
    d = drawn.d
    cream = figure(own.get("cream"), drawn.cream)
    developer = figure(own.get("developer"), developer_for(cream, d))
    parts = shown(1 + d)
    lines = (
        Line("Parts in the bowl", f"1 + {shown(d)}", f"{parts} parts"),
        Line(
            "Cream, one part",
            f"{grams(drawn.bowl)} ÷ {parts}",
            grams(cream_in(drawn.bowl, d)),
            "cream",
        ),
        *shade_lines(drawn.shades, (drawn.a, drawn.b), cream, own),
        Line(
            f"Developer, {counted(d, 'part')}",
            f"{grams(cream)} × {shown(d)}",
            grams(developer_for(cream, d)),
            "developer",
        ),
        Line("Check", f"{grams(cream)} + {grams(developer)}", grams(cream + developer)),
    )
    return lines if drawn.level == Level.WORKING else (_decided(drawn), *lines)


def _forward_lines(drawn: Bowl, own: Mapping[str, Value]) -> tuple[Line, ...]:
    developer = figure(own.get("developer"), drawn.developer)
    return (
        Line(
            "Developer",
            f"{grams(drawn.cream)} × {shown(drawn.d)}",
            grams(drawn.developer),
            "developer",
        ),
        Line(
            "Bowl",
            f"{grams(drawn.cream)} + {grams(developer)}",
            grams(drawn.cream + developer),
            "bowl",
        ),
    )


def _house(drawn: Bowl) -> str:
    ratio = f"1:{shown(drawn.house_d or Decimal(0))}"
    if drawn.house_by == DecidedBy.HOUSE:
        return f"Your house rule is {ratio}"
    return f"Your house has no rule of its own, the standard rule is {ratio}"


def _label(drawn: Bowl) -> str:
    if drawn.label_d is None:
        return f"the label of {drawn.label_name} gives no ratio"
    return f"the label of {drawn.label_name} says 1:{shown(drawn.label_d)}"


def _decided(drawn: Bowl) -> Line:
    order = "Label before house rule before standard rule"
    if drawn.label_d is None:
        order = "The label is silent, so the rule holds"
    return decided_line(order, f"ratio 1:{shown(drawn.d)}", drawn.decided_by)
