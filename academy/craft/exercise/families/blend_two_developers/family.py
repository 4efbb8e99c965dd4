"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.blend_two_developers.sheet import (
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.families.blend_two_developers.sums import (
    ASKED,
    FRIENDLY_SUMS,
    LEAST_TOTAL,
    MOST_TOTAL,
    OUTSIDE,
    PLAIN,
    SUMS,
    TURNED,
    TURNED_SUMS,
    Blend,
    slips,
    slips_turned,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.alligation import crossed_parts
from academy.craft.measure import NONE, YES_OR_NO, Kind, Ratio, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

OUTSIDE_ONE_IN = 5

_BOTH = ("Stronger developer", "Weaker developer", "Wanted strength")
_NO_MIX = "No mix is stronger or weaker than both its parts."


class BlendTwoDevelopers:
    """Exercise family ``blend-two-developers``."""

    key = "blend-two-developers"
    version = 1
    title = "Blending two developers"
    trains = "The crossing method, and refusing what cannot be made"
    parameters = Blend

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Blend] | None:
        """One of the sums that work out; ``rules`` only set the tolerances here."""
        del rules
        if level is Level.EXAM:
            return self._draw_exam(dice)
        sums = FRIENDLY_SUMS if level is Level.FIRST else SUMS
        return Drawn(Blend(str(level), PLAIN, *dice.pick(dice.pick(sums))))

    def _draw_exam(self, dice: Dice) -> Drawn[Blend]:
        if dice.chance(OUTSIDE_ONE_IN):
            total = Decimal(dice.whole(LEAST_TOTAL, MOST_TOTAL, 10))
            return Drawn(Blend(str(Level.EXAM), ASKED, *dice.pick(OUTSIDE), total, None))
        form = dice.pick((ASKED, TURNED))
        sums = TURNED_SUMS if form == TURNED else SUMS
        return Drawn(Blend(str(Level.EXAM), form, *dice.pick(dice.pick(sums))))

    def under(self, drawn: Blend, rules: Rules) -> Drawn[Blend]:
        """No rule enters the sum; the tolerances come anew."""
        del rules
        return Drawn(drawn)

    def identity(self, drawn: Blend) -> str:
        """Strengths, total and which way round."""
        way = "turned" if drawn.form == TURNED else "forwards"
        return f"{way}/{drawn.high}/{drawn.low}/{drawn.target}/{drawn.total}"

    def key_of(self, drawn: Blend) -> dict[str, Value]:
        """Grams of each and in all, parts stronger : weaker; "none" where there is no mix."""
        if drawn.stronger is None:
            parts: dict[str, Value] = {"stronger": NONE, "weaker": NONE, "parts": NONE}
            return {"can_be_made": "no", **parts, "total": drawn.total}
        return {
            "can_be_made": "yes",
            "stronger": drawn.stronger,
            "weaker": drawn.weaker,
            "parts": crossed_parts(drawn.high, drawn.low, drawn.target),
            "total": drawn.total,
        }

    def fields(self, drawn: Blend, tolerances: Tolerances) -> tuple[Field, ...]:
        """The stronger (double weight) and the weaker, parts from level working on."""
        asked = drawn.form == ASKED

        def weighed(key: str, label: str, weight: int = 1, first: str = "Developer you") -> Field:
            needs = (first, *_BOTH)
            near = tolerances.grams
            return Field(key, label, Kind.GRAMS, weight, near, or_none=asked, needs=needs)

        strong, weak = f"{shown(drawn.high)} %", f"{shown(drawn.low)} %"
        stronger = weighed("stronger", f"Developer, {strong}", 2)
        if drawn.form == TURNED:
            return stronger, weighed("total", "In all")
        both = (stronger, weighed("weaker", f"Developer, {weak}"))
        if drawn.level == Level.FIRST:
            return both
        label = f"Parts, {strong} to {weak}"
        lines = (*both, Field("parts", label, Kind.PARTS, or_none=asked, needs=_BOTH))
        if not asked:
            return lines
        can = Field(
            "can_be_made",
            "Can it be made?",
            Kind.YES_NO,
            safety=Safety.YES_FOR_NO,
            choices=YES_OR_NO,
            needs=_BOTH,
        )
        return can, *lines

    def mistakes(self, drawn: Blend) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        if drawn.stronger is None:
            yield Mistake("made-anyway", "can_be_made", "yes", _NO_MIX)
        elif drawn.form == TURNED:
            yield from slips_turned(drawn)
        else:
            yield from slips(drawn.high, drawn.low, drawn.target, drawn.total)

    def text(self, drawn: Blend) -> str:
        """One bowl of developer from two bottles."""
        return text_of(drawn)

    def givens(self, drawn: Blend) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Blend, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """The cross, its parts added, then the weights and the check back to the target."""
        return lines_of(drawn, own)

    def follow(self, drawn: Blend, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Weaker and parts on the own stronger; turned round, the total on it."""
        stronger, weaker = own.get("stronger"), own.get("weaker")
        if drawn.stronger is None or not isinstance(stronger, Decimal):
            return
        if field == "weaker":
            yield Follow(drawn.total - stronger, f"{shown(drawn.total)} g − {grams(stronger)}")
        if field == "total":
            given = drawn.weaker
            yield Follow(given + stronger, f"{shown(given)} g + {grams(stronger)}")
        if field == "parts" and stronger > 0:
            for other in (weaker, drawn.total - stronger):
                if isinstance(other, Decimal) and other > 0:
                    yield Follow(Ratio.of(stronger, other), f"{grams(stronger)} : {grams(other)}")
