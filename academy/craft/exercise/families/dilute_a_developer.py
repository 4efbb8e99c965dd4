"""Thinning a developer with a neutral cream: stock, neutral and parts.

Decisions where the trade page leaves room:

- All numbers come from lists of sums that work out in whole grams, at least 10 g of each; each
  pair of strengths comes up as often as another.
- Level first keeps to a half or a third of the stock; level exam is either the stock named by
  volume or the sum turned round, each as often. Turned round, the given stock is a multiple of
  10 g and the total is whatever comes out, up to 240 g; stock is then not asked, so no field
  weighs double.
- ``total-as-stock`` also names a total that repeats the given stock.
- Parts carry over only exactly: a ratio has no tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, figure, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.dilution import neutral_to_add, parts, stock_for, total_from
from academy.craft.formula.strength import volume_of_percent
from academy.craft.measure import Kind, Ratio, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

PLAIN, VOLUME, TURNED = "plain", "volume", "turned"
STOCKS = (Decimal(6), Decimal(9), Decimal(12))
WANTED = tuple(Decimal(text) for text in ("1.5", "2", "3", "4", "4.5", "6", "9"))
LEAST_GRAMS = 10
LEAST_TOTAL, MOST_TOTAL = 40, 240
FRIENDLY = (2, 3)

_HALF = "Half and half only halves the strength."
_STRENGTHS = ("Wanted strength", "Strength on the shelf")
_ALL = ("Developer you", *_STRENGTHS)


@dataclass(frozen=True, slots=True)
class Dilution:
    """Strengths in per cent, weights in grams; ``form`` is plain, volume or turned."""

    level: str
    form: str
    stock_percent: Decimal
    wanted_percent: Decimal
    stock: Decimal
    total: Decimal

    @property
    def neutral(self) -> Decimal:
        """Grams of neutral cream."""
        return self.total - self.stock


class DiluteADeveloper:
    """Exercise family ``dilute-a-developer``."""

    key = "dilute-a-developer"
    version = 1
    title = "Diluting a developer"
    trains = "Making a weaker developer without guessing"
    parameters = Dilution

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Dilution] | None:
        """One of the sums that work out; ``rules`` only set the tolerances here."""
        del rules
        form = dice.pick((VOLUME, TURNED)) if level is Level.EXAM else PLAIN
        sums = _TURNED_SUMS if form == TURNED else _SUMS
        if level is Level.FIRST:
            sums = _FRIENDLY_SUMS
        stock_percent, wanted_percent, stock, total = dice.pick(dice.pick(sums))
        return Drawn(Dilution(str(level), form, stock_percent, wanted_percent, stock, total))

    def under(self, drawn: Dilution, rules: Rules) -> Drawn[Dilution]:
        """No rule enters the sum; the tolerances come anew."""
        del rules
        return Drawn(drawn)

    def identity(self, drawn: Dilution) -> str:
        """Strengths, total and which way round."""
        way = "turned" if drawn.form == TURNED else "forwards"
        return f"{way}/{drawn.stock_percent}/{drawn.wanted_percent}/{drawn.total}"

    def key_of(self, drawn: Dilution) -> dict[str, Value]:
        """Stock, neutral and total in grams, parts stock : neutral."""
        return {
            "stock": drawn.stock,
            "neutral": drawn.neutral,
            "parts": parts(drawn.stock_percent, drawn.wanted_percent),
            "total": drawn.total,
        }

    def fields(self, drawn: Dilution, tolerances: Tolerances) -> tuple[Field, ...]:
        """Stock (double weight) and neutral, parts from level working on; turned: the total."""

        def weighed(key: str, label: str, weight: int = 1) -> Field:
            return Field(key, label, Kind.GRAMS, weight, tolerances.grams, needs=_ALL)

        neutral = weighed("neutral", "Neutral cream")
        if drawn.form == TURNED:
            return neutral, weighed("total", "In all")
        stock = weighed("stock", f"Developer, {_stock(drawn)}", 2)
        if drawn.level == Level.FIRST:
            return stock, neutral
        label = "Parts, developer to neutral"
        return stock, neutral, Field("parts", label, Kind.PARTS, needs=_STRENGTHS)

    def mistakes(self, drawn: Dilution) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        strong, weak, total = drawn.stock_percent, drawn.wanted_percent, drawn.total
        if drawn.form == TURNED:
            yield from self._turned_mistakes(drawn)
            return
        yield Mistake(
            "swapped",
            "stock",
            drawn.neutral,
            "You weighed the neutral where the stock belongs: "
            "the weaker you want it, the less stock.",
        )
        part = total * weak / (strong - weak)
        if part <= total and drawn.level != Level.FIRST:
            yield Mistake(
                "part-for-share",
                "stock",
                part,
                f"{shown(weak)} : {shown(strong - weak)} are parts of each other, "
                "not of the whole. Add the parts first.",
            )
        if weak * 2 != strong:
            yield Mistake("half", "stock", total / 2, _HALF)
        yield Mistake(
            "mixed-units",
            "stock",
            total * weak / volume_of_percent(strong),
            "You used volume for one and per cent for the other.",
        )
        yield Mistake(
            "on-top",
            "neutral",
            total,
            f"The total includes the stock. Fill up to {shown(total)} g, "
            f"do not add {shown(total)} g.",
        )

    def _turned_mistakes(self, drawn: Dilution) -> Iterator[Mistake]:
        stock = drawn.stock
        sentence = f"The {shown(stock)} g are the stock, not the total."
        taken = stock * (1 - drawn.wanted_percent / drawn.stock_percent)
        yield Mistake("total-as-stock", "neutral", taken, sentence)
        yield Mistake("total-as-stock", "total", stock, sentence)
        if drawn.wanted_percent * 2 != drawn.stock_percent:
            yield Mistake("equal", "neutral", stock, _HALF)

    def text(self, drawn: Dilution) -> str:
        """One bowl of developer to make, or one to thin."""
        wanted = f"{shown(drawn.wanted_percent)} %"
        if drawn.form == TURNED:
            return (
                f"You have {shown(drawn.stock)} g of {_stock(drawn)} developer and thin it with a "
                f"neutral cream without peroxide, which the label allows. You want {wanted}. "
                "How many grams of neutral do you add, and how many grams are there in all?"
            )
        asked = "" if drawn.level == Level.FIRST else ", and in which parts"
        return (
            f"You need {shown(drawn.total)} g of {wanted} developer. On your shelf: "
            f"{_stock(drawn)} developer and a neutral cream without peroxide, which the label "
            f"allows. How many grams of each do you weigh{asked}?"
        )

    def givens(self, drawn: Dilution) -> tuple[Given, ...]:
        """The figures of the text."""
        amount = (
            Given("Developer you have", shown(drawn.stock), "g")
            if drawn.form == TURNED
            else Given("Developer you need", shown(drawn.total), "g")
        )
        figure, unit = _stock(drawn).split(" ")
        return (
            amount,
            Given("Wanted strength", shown(drawn.wanted_percent), "%"),
            Given("Strength on the shelf", figure, unit),
        )

    def lines(self, drawn: Dilution, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Peroxide first, then stock, rest, parts and the check back to the wanted strength."""
        if drawn.form == TURNED:
            return self._turned_lines(drawn, own)
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
            lines.append(self._parts_line(drawn, own))
        back = f"{grams(stock)} × {shown(strong)} ÷ {shown(total)} g"
        lines.append(Line("Check", back, shown_as(Kind.STRENGTH, stock * strong / total)))
        return tuple(lines)

    def _parts_line(self, drawn: Dilution, own: Mapping[str, Value]) -> Line:
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

    def _turned_lines(self, drawn: Dilution, own: Mapping[str, Value]) -> tuple[Line, ...]:
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

    def follow(self, drawn: Dilution, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Neutral and parts on the own stock; turned round, the total on the own neutral."""
        stock, neutral = own.get("stock"), own.get("neutral")
        if field == "neutral" and isinstance(stock, Decimal):
            yield Follow(drawn.total - stock, f"{shown(drawn.total)} g − {grams(stock)}")
        if field == "total" and isinstance(neutral, Decimal):
            yield Follow(drawn.stock + neutral, f"{shown(drawn.stock)} g + {grams(neutral)}")
        if field == "parts" and isinstance(stock, Decimal):
            rest = drawn.total - stock
            for other in (neutral, rest):
                if isinstance(other, Decimal) and other > 0:
                    yield Follow(Ratio.of(stock, other), f"{grams(stock)} : {grams(other)}")


def _stock(drawn: Dilution) -> str:
    if drawn.form == VOLUME:
        return f"{shown(volume_of_percent(drawn.stock_percent))} vol"
    return f"{shown(drawn.stock_percent)} %"


def _whole(grams: Decimal) -> bool:
    return grams == int(grams) and grams >= LEAST_GRAMS


_Sum = tuple[Decimal, Decimal, Decimal, Decimal]


def _sum(strong: Decimal, weak: Decimal, stock: Decimal, total: Decimal) -> Iterator[_Sum]:
    """The sum, if it works out in whole grams and stays in the bowl."""
    if total <= MOST_TOTAL and _whole(stock) and _whole(total - stock):
        yield strong, weak, Decimal(int(stock)), Decimal(int(total))


def _sums_of(strong: Decimal, weak: Decimal) -> tuple[_Sum, ...]:
    """Forwards: the total is a multiple of 10 g."""
    totals = (Decimal(total) for total in range(LEAST_TOTAL, MOST_TOTAL + 1, 10))
    return tuple(
        found
        for total in totals
        for found in _sum(strong, weak, stock_for(total, strong, weak), total)
    )


def _turned_sums_of(strong: Decimal, weak: Decimal) -> tuple[_Sum, ...]:
    """Turned round: the given stock is a multiple of 10 g."""
    stocks = (Decimal(stock) for stock in range(20, MOST_TOTAL, 10))
    return tuple(
        found
        for stock in stocks
        for found in _sum(strong, weak, stock, total_from(stock, strong, weak))
    )


_PAIRS = tuple((strong, weak) for strong in STOCKS for weak in WANTED if weak < strong)
_SUMS = tuple(filter(None, (_sums_of(*pair) for pair in _PAIRS)))
_TURNED_SUMS = tuple(filter(None, (_turned_sums_of(*pair) for pair in _PAIRS)))
_FRIENDLY_SUMS = tuple(sums for sums in _SUMS if sums[0][0] / sums[0][1] in FRIENDLY)
