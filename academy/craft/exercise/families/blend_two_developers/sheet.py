"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.blend_two_developers.sums import ASKED, TURNED, Blend
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.alligation import (
    can_be_made,
    crossed_parts,
    grams_of_each,
    strength_of,
    stronger_to_add,
)
from academy.craft.measure import NONE, Kind, Ratio, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Mapping


def text_of(drawn: Blend) -> str:
    """One bowl of developer from two bottles."""
    strong, weak = f"{shown(drawn.high)} %", f"{shown(drawn.low)} %"
    wanted = f"{shown(drawn.target)} %"
    if drawn.form == TURNED:
        return (
            f"You have {shown(drawn.weaker)} g of {weak} developer in the bowl and want "
            f"{wanted}. How many grams of {strong} developer do you add, and how many grams "
            "are there in all?"
        )
    need = (
        f"You need {shown(drawn.total)} g of {wanted} developer. On your shelf: {strong} "
        f"developer and {weak} developer. "
    )
    if drawn.form == ASKED:
        return need + (
            "Can it be made from these two? If so, how many grams of each do you weigh, and "
            "in which parts? If not, the weights and parts are “none”."
        )
    asked = "" if drawn.level == Level.FIRST else ", and in which parts"
    return need + f"How many grams of each do you weigh{asked}?"


def givens_of(drawn: Blend) -> tuple[Given, ...]:
    """The figures of the text."""
    amount = (
        Given("Developer you have", shown(drawn.weaker), "g")
        if drawn.form == TURNED
        else Given("Developer you need", shown(drawn.total), "g")
    )
    return (
        amount,
        Given("Wanted strength", shown(drawn.target), "%"),
        Given("Stronger developer", shown(drawn.high), "%"),
        Given("Weaker developer", shown(drawn.low), "%"),
    )


def lines_of(drawn: Blend, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """The cross, its parts added, then the weights and the check back to the target."""
    if drawn.stronger is None:
        return _refusal(drawn)
    strong, weak, target = drawn.high, drawn.low, drawn.target
    cross = (
        Line(
            f"Cross: parts of {shown(strong)} %",
            f"{shown(target)} − {shown(weak)}",
            shown(target - weak),
        ),
        Line(
            f"Cross: parts of {shown(weak)} %",
            f"{shown(strong)} − {shown(target)}",
            shown(strong - target),
        ),
    )
    if drawn.form == TURNED:
        return cross + _turned_lines(drawn, own)
    between = (_between(drawn),) if drawn.form == ASKED else ()
    return between + cross + _forward_lines(drawn, own)


def _forward_lines(drawn: Blend, own: Mapping[str, Value]) -> tuple[Line, ...]:
    strong, weak, target, total = drawn.high, drawn.low, drawn.target, drawn.total
    first, parts = target - weak, strong - weak
    stronger = figure(own.get("stronger"), drawn.stronger or Decimal(0))
    weaker = figure(own.get("weaker"), total - stronger)
    lines = [
        Line("All parts", f"{shown(first)} + {shown(strong - target)}", shown(parts)),
        Line(
            f"Developer, {shown(strong)} %",
            f"{shown(total)} g × {shown(first)} ÷ {shown(parts)}",
            grams(grams_of_each(total, strong, weak, target)[0]),
            "stronger",
        ),
        Line(
            f"Developer, {shown(weak)} %",
            f"{shown(total)} g − {grams(stronger)}",
            grams(total - stronger),
            "weaker",
        ),
    ]
    if drawn.level != Level.FIRST:
        lines.append(_parts_line(drawn, own))
    return *lines, _check(drawn, stronger, weaker)


def _between(drawn: Blend) -> Line:
    made = can_be_made(drawn.high, drawn.low, drawn.target)
    return Line(
        "Between the two?",
        f"{shown(drawn.target)} % {'lies' if made else 'does not lie'} between "
        f"{shown(drawn.low)} % and {shown(drawn.high)} %",
        "Yes" if made else "No",
        "can_be_made",
    )


def _refusal(drawn: Blend) -> tuple[Line, ...]:
    strong, weak = f"{shown(drawn.high)} %", f"{shown(drawn.low)} %"
    why = f"no mix of {strong} and {weak} is {shown(drawn.target)} %"
    return (
        _between(drawn),
        Line(f"Developer, {strong}", why, NONE, "stronger"),
        Line(f"Developer, {weak}", why, NONE, "weaker"),
        Line(f"Parts, {strong} to {weak}", why, NONE, "parts"),
    )


def _parts_line(drawn: Blend, own: Mapping[str, Value]) -> Line:
    words = f"Parts, {shown(drawn.high)} % to {shown(drawn.low)} %"
    if any(isinstance(own.get(key), Decimal) for key in ("stronger", "weaker")):
        stronger = figure(own.get("stronger"), drawn.stronger or Decimal(0))
        weaker = figure(own.get("weaker"), drawn.total - stronger)
        if stronger > 0 and weaker > 0:
            ratio = Ratio.of(stronger, weaker)
            return Line(words, f"{grams(stronger)} : {grams(weaker)}", str(ratio), "parts")
    up, down = drawn.target - drawn.low, drawn.high - drawn.target
    parts = crossed_parts(drawn.high, drawn.low, drawn.target)
    return Line(words, f"{shown(up)} : {shown(down)}", str(parts), "parts")


def _turned_lines(drawn: Blend, own: Mapping[str, Value]) -> tuple[Line, ...]:
    there, up, down = drawn.weaker, drawn.target - drawn.low, drawn.high - drawn.target
    added = figure(own.get("stronger"), drawn.stronger or Decimal(0))
    return (
        Line(
            f"Developer, {shown(drawn.high)} %",
            f"{shown(there)} g × {shown(up)} ÷ {shown(down)}",
            grams(stronger_to_add(there, drawn.high, drawn.low, drawn.target)),
            "stronger",
        ),
        Line("In all", f"{shown(there)} g + {grams(added)}", grams(there + added), "total"),
        _check(drawn, added, there),
    )


def _check(drawn: Blend, stronger: Decimal, weaker: Decimal) -> Line:
    portions = [(stronger, drawn.high), (weaker, drawn.low)]
    both = " + ".join(f"{grams(weight)} × {shown(percent)}" for weight, percent in portions)
    total = stronger + weaker
    mean = shown_as(Kind.STRENGTH, strength_of(portions)) if total > 0 else "nothing in the bowl"
    return Line("Check", f"({both}) ÷ {grams(total)}", mean)
