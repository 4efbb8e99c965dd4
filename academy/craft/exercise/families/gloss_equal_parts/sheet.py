"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.decided import NOT_SAID, decided_line
from academy.craft.exercise.families.gloss_equal_parts.bowls import (
    AT_SHADE,
    LABEL,
    PARTS,
    RINSE,
    WHAT_NOW,
)
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.exercise.shades import recipe_of, shade_lines
from academy.craft.measure import Kind, Value, clock, shown, shown_as
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from academy.craft.exercise.families.gloss_equal_parts.bowls import Gloss

_BOWL = ("Gloss in the bowl", "Colour, developer")
_STRENGTHS = ("Developer", "Label, developer", "House rule", "Standard rule")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "colour": _BOWL,
    "developer": _BOWL,
    "conditioner": _BOWL,
    "shade_1": ("Depth",),
    "shade_2": ("Depth",),
    "strength": (*_STRENGTHS, "Colour, developer"),
    "first_look": ("Applied at",),
    "latest": ("Applied at", "Label, ceiling"),
    "now": ("At the first look",),
    "rinse": ("Applied at", "At the first look"),
    "decided_by": _STRENGTHS[1:],
}


def text_of(drawn: Gloss) -> str:
    """One gloss to mix, apply and watch."""
    bottle = "developer" if drawn.label else f"{shown(drawn.percent)} % developer"
    bowl = (
        f"You mix {shown(drawn.total)} g of gloss: equal parts of colour, {bottle} and conditioner."
    )
    if drawn.level == Level.FIRST:
        return f"{bowl} How many grams of each do you weigh?"
    applied = f"You apply it at {clock(drawn.applied_at)}"
    if drawn.level == Level.WORKING:
        return (
            f"{bowl}{_recipe(drawn)} {applied}. What do you weigh, how strong is it in the bowl, "
            "when do you look first, and when must it be off?"
        )
    given = f"{bowl} Label and rule are below.{_recipe(drawn)} {applied}"
    if drawn.form == AT_SHADE:
        return (
            f"{given}; at the first look it is at shade. Work out weights, strength and first "
            "look; then what you do, and when."
        )
    return (
        f"{given}. Work out weights, strength, first look and latest rinse; say what decided the "
        "strength."
    )


def _recipe(drawn: Gloss) -> str:
    if not drawn.second:
        return ""
    return f" {recipe_of(drawn.shades, (drawn.first, drawn.second))}"


def givens_of(drawn: Gloss) -> tuple[Given, ...]:
    """The figures of the text; label and rule at level exam."""
    rows = [
        Given("Gloss in the bowl", shown(drawn.total), "g"),
        Given("Colour, developer, conditioner", "1:1:1"),
    ]
    if drawn.label:
        rows += _label_rows(drawn)
    else:
        rows.append(Given("Developer", shown(drawn.percent), "%"))
    if drawn.level == Level.FIRST:
        return tuple(rows)
    if drawn.second:
        first, second = drawn.shades
        ratio = f"{drawn.first}:{drawn.second}"
        words = f"{first.capitalize()} to {second}"
        rows.append(Given(words, ratio, short=f"Natural to {drawn.tone}"))
    rows.append(Given("Applied at", clock(drawn.applied_at)))
    if drawn.form == AT_SHADE:
        rows.append(Given("At the first look", "at shade"))
    return tuple(rows)


def _label_rows(drawn: Gloss) -> Iterator[Given]:
    who = "House rule" if drawn.house_by == DecidedBy.HOUSE else "Standard rule"
    yield Given(f"{who}, developer", shown(drawn.house_percent), "%")
    said = drawn.label_percent
    yield Given("Label, developer", *((NOT_SAID,) if said is None else (shown(said), "%")))
    if drawn.label_ceiling is not None:
        yield Given("Label, ceiling", shown(drawn.label_ceiling), "min")


def lines_of(drawn: Gloss, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """A third of each, the shades, the strength, and the times."""
    colour = figure(own.get("colour"), drawn.third)
    developer = figure(own.get("developer"), colour)
    conditioner = figure(own.get("conditioner"), colour)
    same, third = "as much as the colour", drawn.third
    weights = (
        Line("Colour", f"{shown(drawn.total)} g ÷ {PARTS}", grams(third), "colour"),
        Line("Developer", f"{same}, {grams(colour)}", grams(colour), "developer"),
        Line("Conditioner", f"{same}, {grams(colour)}", grams(colour), "conditioner"),
    )
    total = colour + developer + conditioner
    check = Line(
        "Check", f"{grams(colour)} + {grams(developer)} + {grams(conditioner)}", grams(total)
    )
    if drawn.level == Level.FIRST:
        return *weights, check
    parts = (drawn.first, drawn.second)
    shades = shade_lines(drawn.shades, parts, colour, own) if drawn.second else ()
    mixed = drawn.percent * developer / total
    strength = Line(
        "In the bowl, peroxide",
        f"{shown(drawn.percent)} % × {grams(developer)} ÷ {grams(total)}",
        shown_as(Kind.STRENGTH, mixed),
        "strength",
    )
    return (
        *weights,
        check,
        *shades,
        *_decided_lines(drawn),
        strength,
        *_clock_lines(drawn),
    )


def _decided_lines(drawn: Gloss) -> Iterator[Line]:
    if not drawn.label:
        return
    order = (
        "The label is silent, so the rule holds"
        if drawn.label_percent is None
        else "Label before house rule before standard rule"
    )
    taken = f"developer of {shown(drawn.percent)} %"
    asked = "decided_by" if drawn.form == LABEL else ""
    yield decided_line(order, taken, drawn.decided_by, asked)


def _clock_lines(drawn: Gloss) -> Iterator[Line]:
    applied, look = clock(drawn.applied_at), clock(drawn.look_at)
    yield Line("First look", f"{applied} + {shown(drawn.look_after)} min", look, "first_look")
    if drawn.form == AT_SHADE:
        word = next(choice.label for choice in WHAT_NOW if choice.key == RINSE)
        yield Line("What now?", "at shade it comes off", word, "now")
        yield Line("When", "then, at the first look", look, "rinse")
        return
    latest = clock(drawn.latest_at)
    yield Line("Latest rinse", f"{applied} + {shown(drawn.latest_after)} min", latest, "latest")
