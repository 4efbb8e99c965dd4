"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.dilute_a_developer.sheet import (
    givens_of,
    lines_of,
    stock_words,
    text_of,
)
from academy.craft.exercise.families.dilute_a_developer.sums import (
    FRIENDLY_SUMS,
    PLAIN,
    SUMS,
    TURNED,
    TURNED_SUMS,
    VOLUME,
    Dilution,
    slips_of,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.dilution import parts
from academy.craft.measure import Kind, Ratio, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

_STRENGTHS = ("Wanted strength", "Strength on the shelf")
_ALL = ("Developer you", *_STRENGTHS)


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
        sums = TURNED_SUMS if form == TURNED else SUMS
        if level is Level.FIRST:
            sums = FRIENDLY_SUMS
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
        stock = weighed("stock", f"Developer, {stock_words(drawn)}", 2)
        if drawn.level == Level.FIRST:
            return stock, neutral
        label = "Parts, developer to neutral"
        return stock, neutral, Field("parts", label, Kind.PARTS, needs=_STRENGTHS)

    def mistakes(self, drawn: Dilution) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Dilution) -> str:
        """One bowl of developer to make, or one to thin."""
        return text_of(drawn)

    def givens(self, drawn: Dilution) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Dilution, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Peroxide first, then stock, rest, parts and the check back to the wanted strength."""
        return lines_of(drawn, own)

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
