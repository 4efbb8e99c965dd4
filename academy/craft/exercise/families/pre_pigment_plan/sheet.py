"""What is printed: the warmths to choose from, the text, the table, the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_line
from academy.craft.exercise.families.pre_pigment_plan.plan import PART, PLAIN, SET, Filling
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.prepigment import is_needed
from academy.craft.formula.undertone import STAGES, WHEEL
from academy.craft.measure import NONE, Choice, Kind, Value, counted, shown, shown_as
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Mapping

COOL = tuple(tone for tone in WHEEL[WHEEL.index("yellow-green") :] if tone not in STAGES)
OFFERED = (*STAGES, *COOL)
WARMTHS = (
    *(Choice(word, word.capitalize()) for word in OFFERED),
    Choice(NONE, "None, nothing is filled", ("no", "nothing")),
)
_DEPTHS = ("Depth now", "Wanted", "House rule")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "difference": _DEPTHS[:2],
    "needed": _DEPTHS,
    "warmth": _DEPTHS,
    "shade": _DEPTHS,
    "grams": ("Cream for", "Colour cream", *_DEPTHS),
    "strength": _DEPTHS[:2],
    "developer": ("Colour cream", "Colour to developer"),
    "decided_by": ("House rule",),
}


def text_of(drawn: Filling) -> str:
    """One head of light hair, one darker wish."""
    light = "lengths are lightened" if drawn.form == PART else "hair is lightened"
    wish = f"Your client’s {light} to depth {drawn.present}. Wanted: depth {drawn.target} natural. "
    if drawn.level == Level.FIRST:
        return f"{wish}Is pre-pigmentation needed by your house rule, and with which warmth?"
    if drawn.form == PART:
        wish += f"The regrowth is depth {drawn.target} by nature. "
    if drawn.form == SET:
        wish += f"The house you help out in fills from {drawn.house} on. "
    cream = f"Colour cream: {shown(drawn.cream)} g, mixed 1:{shown(drawn.d)}"
    if drawn.form == PART:
        cream += f", {shown(drawn.light)} g of it for the lengths"
    plan = f"{wish}{cream}. Plan the filling, if any, and the developer for the colour"
    return f"{plan}." if drawn.form == PLAIN else f"{plan}; say what decided the need."


def givens_of(drawn: Filling) -> tuple[Given, ...]:
    """The figures of the text."""
    rows = [
        Given("Depth now", f"{drawn.present}, lightened"),
        Given("Wanted", f"depth {drawn.target} natural"),
    ]
    if drawn.level == Level.FIRST:
        return tuple(rows)
    if drawn.form == PART:
        rows.append(Given("Regrowth", f"depth {drawn.target}, natural"))
    rows += [
        Given("Colour cream", shown(drawn.cream), "g"),
        Given("Colour to developer", f"1:{shown(drawn.d)}"),
    ]
    if drawn.form == PART:
        rows.append(Given("Cream for the lengths", shown(drawn.light), "g"))
    if drawn.house:
        rows.append(Given("House rule, pre-pigmentation from", drawn.house, short="House rule"))
    return tuple(rows)


def lines_of(drawn: Filling, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Difference, need and warmth; then shade, weight and the colour that follows."""
    difference = figure(own.get("difference"), drawn.difference)
    needed = is_needed(difference, drawn.needed_from)
    asked = drawn.level != Level.FIRST
    need = (
        Line(
            "Difference",
            f"{drawn.present} − {drawn.target}",
            shown_as(Kind.STEPS, drawn.difference),
            "difference" if asked else "",
        ),
        Line(
            "Pre-pigmentation",
            f"{counted(difference, 'depth')}; needed from {drawn.needed_rule}",
            "Yes" if needed else "No",
            "needed",
        ),
    )
    filling = _filling_lines(drawn) if drawn.needed else _nothing_to_fill()
    if not asked:
        return *need, filling[0]
    in_all = f"{shown(drawn.cream)} g"
    return (
        *need,
        *filling,
        Line("Colour, strength", drawn.strength_rule, f"{shown(drawn.strength)} %", "strength"),
        Line(
            "Colour, developer",
            f"{in_all} × {shown(drawn.d)}",
            grams(developer_for(drawn.cream, drawn.d)),
            "developer",
        ),
        *_decided_line(drawn),
    )


def _filling_lines(drawn: Filling) -> tuple[Line, ...]:
    besides = f"; {drawn.accepted} accepted too" if drawn.accepted else ""
    strength = drawn.filler_strength
    mixed = f"with {shown(strength)} %" if strength else "without developer"
    return (
        Line(f"Warmth of depth {drawn.target}{besides}", drawn.warmth_rule, drawn.warmth, "warmth"),
        Line(
            "Shade depth",
            f"{drawn.target} + {shown(drawn.lighter)}",
            f"depth {shown(drawn.shade)}",
            "shade",
        ),
        Line(
            f"Pre-pigment, {mixed}",
            f"{shown(drawn.light)} g × {shown(drawn.share)} ÷ 100",
            grams(drawn.grams),
            "grams",
        ),
    )


def _nothing_to_fill() -> tuple[Line, ...]:
    nothing = "nothing is filled"
    return (
        Line("Warmth", nothing, NONE, "warmth"),
        Line("Shade depth", nothing, NONE, "shade"),
        Line("Pre-pigment", nothing, NONE, "grams"),
    )


def _decided_line(drawn: Filling) -> tuple[Line, ...]:
    if drawn.form == PLAIN:
        return ()
    why = (
        "the house has a rule of its own"
        if drawn.needed_by == DecidedBy.HOUSE
        else "the house has no rule of its own"
    )
    return (decided_line("What decided whether it is needed", why, drawn.needed_by),)
