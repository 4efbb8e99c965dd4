"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.dilute_a_developer.sums import TURNED, VOLUME, Dilution
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.dilution import neutral_to_add, parts, stock_for
from academy.craft.formula.strength import volume_of_percent
from academy.craft.measure import Kind, Ratio, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Mapping


def stock_words(drawn: Dilution) -> str:
    """The stock as it is named: "12 %", or "40 vol"."""
    if drawn.form == VOLUME:
        return f"{shown(volume_of_percent(drawn.stock_percent))} vol"
    return f"{shown(drawn.stock_percent)} %"


def text_of(drawn: Dilution) -> str:
    """One bowl of developer to make, or one to thin."""
    wanted = f"{shown(drawn.wanted_percent)} %"
    if drawn.form == TURNED:
        return (
            f"You have {shown(drawn.stock)} g of {stock_words(drawn)} developer and thin it with a "
            f"neutral cream without peroxide, which the label allows. You want {wanted}. "
            "How many grams of neutral do you add, and how many grams are there in all?"
        )
    asked = "" if drawn.level == Level.FIRST else ", and in which parts"
    return (
        f"You need {shown(drawn.total)} g of {wanted} developer. On your shelf: "
        f"{stock_words(drawn)} developer and a neutral cream without peroxide, which the label "
        f"allows. How many grams of each do you weigh{asked}?"
    )


def givens_of(drawn: Dilution) -> tuple[Given, ...]:
    """The figures of the text."""
    amount = (
        Given("Developer you have", shown(drawn.stock), "g")
        if drawn.form == TURNED
        else Given("Developer you need", shown(drawn.total), "g")
    )
    strength, unit = stock_words(drawn).split(" ")
    return (
        amount,
        Given("Wanted strength", shown(drawn.wanted_percent), "%"),
        Given("Strength on the shelf", strength, unit),
    )


def lines_of(drawn: Dilution, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Peroxide first, then stock, rest, parts and the check back to the wanted strength."""
    if drawn.form == TURNED:
        return _turned_lines(drawn, own)
    strong, weak, total = drawn.stock_percent, drawn.wanted_percent, drawn.total
    stock = figure(own.get("stock"), drawn.stock)
    lines = [
        Line(
            "Peroxide wanted",
            f"{shown(total)} g × {shown(weak)} ÷ 100",
            grams(total * weak / 100),
        ),
        Line("Share of peroxide in the stock", f"{shown(strong)} ÷ 100", shown(strong / 100)),
        Line(
            "Stock",
            f"{shown(total)} g × {shown(weak)} ÷ {shown(strong)}",
            grams(stock_for(total, strong, weak)),
            "stock",
        ),
        Line("Neutral", f"{shown(total)} g − {grams(stock)}", grams(total - stock), "neutral"),
    ]
    if drawn.form == VOLUME:
        volume = shown(volume_of_percent(strong))
        lines.insert(0, Line("Stock in per cent", f"0.3 × {volume} vol", f"{shown(strong)} %"))
    if drawn.level != Level.FIRST:
        lines.append(_parts_line(drawn, own))
    back = f"{grams(stock)} × {shown(strong)} ÷ {shown(total)} g"
    lines.append(Line("Check", back, shown_as(Kind.STRENGTH, stock * strong / total)))
    return tuple(lines)


def _parts_line(drawn: Dilution, own: Mapping[str, Value]) -> Line:
    words = "Parts, stock to neutral"
    strong, weak = drawn.stock_percent, drawn.wanted_percent
    if "stock" in own or "neutral" in own:
        stock = figure(own.get("stock"), drawn.stock)
        neutral = figure(own.get("neutral"), drawn.total - stock)
        if stock > 0 and neutral > 0:
            ratio = Ratio.of(stock, neutral)
            return Line(words, f"{grams(stock)} : {grams(neutral)}", str(ratio), "parts")
    over = f"{shown(weak)} : ({shown(strong)} − {shown(weak)})"
    return Line(words, over, str(parts(strong, weak)), "parts")


def _turned_lines(drawn: Dilution, own: Mapping[str, Value]) -> tuple[Line, ...]:
    strong, weak, stock = drawn.stock_percent, drawn.wanted_percent, drawn.stock
    neutral = figure(own.get("neutral"), drawn.neutral)
    total = stock + neutral
    return (
        Line(
            "Neutral",
            f"{shown(stock)} g × ({shown(strong)} ÷ {shown(weak)} − 1)",
            grams(neutral_to_add(stock, strong, weak)),
            "neutral",
        ),
        Line("In all", f"{shown(stock)} g + {grams(neutral)}", grams(total), "total"),
        Line(
            "Check",
            f"{shown(stock)} g × {shown(strong)} ÷ {grams(total)}",
            shown_as(Kind.STRENGTH, stock * strong / total),
        ),
    )
