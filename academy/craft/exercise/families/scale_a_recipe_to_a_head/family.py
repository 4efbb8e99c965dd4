"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.scale_a_recipe_to_a_head.heads import (
    FIRST_SCALP,
    LEAST_WEEKS,
    LENGTHS,
    MOST_WEEKS,
    RATIOS,
    SCALPS,
    TREATED,
    Regrowth,
    slips_of,
)
from academy.craft.exercise.families.scale_a_recipe_to_a_head.sheet import (
    NEEDS,
    givens_of,
    lines_of,
    need_sum,
    text_of,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, figure, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.shades import SHARES, TONES, follow_shades
from academy.craft.formula.mixture import cream_in, developer_for, shared
from academy.craft.formula.quantity import mixed_needed
from academy.craft.measure import Kind, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class ScaleARecipe:
    """Exercise family ``scale-a-recipe-to-a-head``."""

    key = "scale-a-recipe-to-a-head"
    version = 1
    title = "Scaling a recipe to a head"
    trains = "Quantity from area and regrowth, less waste"
    parameters = Regrowth

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Regrowth] | None:
        """A head; None where the recipe does not divide its cream, or rounding would decide."""
        d = dice.pick(RATIOS)
        thrown = Regrowth(str(level), FIRST_SCALP, Decimal(0), d, Decimal(0), Decimal(0))
        if level is not Level.FIRST:
            depth, tone = dice.whole(4, 8), dice.pick(TONES)
            thrown = replace(thrown, scalp=dice.pick(SCALPS), depth=depth, tone=tone)
        if level is Level.EXAM:
            weeks = dice.whole(LEAST_WEEKS, MOST_WEEKS)
            thrown = replace(thrown, treated=" ".join(dice.pick(TREATED)), weeks=weeks)
        else:
            thrown = replace(thrown, length=dice.pick(LENGTHS))
        drawn = self.under(thrown, rules)
        if not drawn.parameters.is_fair:
            return None
        return drawn if level is Level.FIRST else _with_recipe(dice, drawn)

    def under(self, drawn: Regrowth, rules: Rules) -> Drawn[Regrowth]:
        """The same head; spread, step and growth come anew."""
        spread = rules.decide("spread")
        step = rules.decide("bowl_step", ratio=shown(drawn.d))
        settled = replace(drawn, spread=spread.number, step=step.number)
        if not drawn.weeks:
            return Drawn(settled, (spread, step))
        growth = rules.decide("growth")
        return Drawn(replace(settled, growth=growth.number), (growth, spread, step))

    def identity(self, drawn: Regrowth) -> str:
        """Head, regrowth, ratio and recipe; not the tone."""
        head = f"{drawn.scalp}/{drawn.treated.replace(' ', '-') or 'all'}"
        grown = f"{drawn.weeks}w" if drawn.weeks else f"{drawn.length}"
        recipe = "one" if drawn.level == Level.FIRST else f"{drawn.a}:{drawn.b}"
        return f"{head}/{grown}/{drawn.d}/{recipe}"

    def key_of(self, drawn: Regrowth) -> dict[str, Value]:
        """Area in cm², regrowth in cm, weights in grams."""
        bowl = drawn.bowl
        cream = cream_in(bowl, drawn.d)
        first, second = shared(cream, Decimal(drawn.a), Decimal(drawn.b))
        return {
            "area": drawn.area,
            "regrowth": drawn.regrowth,
            "need": drawn.need,
            "bowl": bowl,
            "cream": cream,
            "shade_1": first,
            "shade_2": second,
            "developer": developer_for(cream, drawn.d),
        }

    def fields(self, drawn: Regrowth, tolerances: Tolerances) -> tuple[Field, ...]:
        """From the need to the weights, the bowl weighing double; at level exam from the area."""

        def weighed(key: str, label: str, weight: int = 1) -> Field:
            return Field(key, label, Kind.GRAMS, weight, tolerances.grams, needs=NEEDS[key])

        bowl = (
            weighed("need", "Mixed product needed"),
            weighed("bowl", "Bowl, rounded up", 2),
            weighed("cream", "Colour cream in all"),
        )
        developer = weighed("developer", "Developer")
        if drawn.level == Level.FIRST:
            return *bowl, developer
        first, second = drawn.shades
        shades = (
            weighed("shade_1", first.capitalize()),
            weighed("shade_2", second.capitalize()),
        )
        if drawn.level == Level.WORKING:
            return *bowl, *shades, developer
        near, needs = tolerances.area, NEEDS["area"]
        area = Field("area", "Area you treat", Kind.AREA, tolerance=near, needs=needs)
        near, needs = tolerances.length, NEEDS["regrowth"]
        regrowth = Field("regrowth", "Regrowth", Kind.LENGTH, tolerance=near, needs=needs)
        return area, regrowth, *bowl, *shades, developer

    def mistakes(self, drawn: Regrowth) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Regrowth) -> str:
        """One head, one bowl."""
        return text_of(drawn)

    def givens(self, drawn: Regrowth) -> tuple[Given, ...]:
        """The figures of the text, and what they are worked with."""
        return givens_of(drawn)

    def lines(self, drawn: Regrowth, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Area and regrowth, need, bowl, cream, shades, developer, and the sum."""
        return lines_of(drawn, own)

    def follow(self, drawn: Regrowth, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Need on own area and regrowth, bowl on own need, cream on own bowl, the rest on it."""
        need, bowl, cream = own.get("need"), own.get("bowl"), own.get("cream")
        if field == "need" and ("area" in own or "regrowth" in own):
            area = figure(own.get("area"), drawn.area)
            grown = figure(own.get("regrowth"), drawn.regrowth)
            sum_ = need_sum(drawn.spread, area, grown)
            yield Follow(mixed_needed(drawn.spread, area, grown), sum_)
        if field == "bowl" and isinstance(need, Decimal):
            sum_ = f"{grams(need)}, up to a multiple of {shown(drawn.step)} g"
            yield Follow(drawn.bowl_for(need), sum_)
        if field == "cream" and isinstance(bowl, Decimal):
            yield Follow(cream_in(bowl, drawn.d), f"{grams(bowl)} ÷ {shown(1 + drawn.d)}")
        if not isinstance(cream, Decimal):
            return
        if field == "developer":
            yield Follow(developer_for(cream, drawn.d), f"{grams(cream)} × {shown(drawn.d)}")
            if isinstance(bowl, Decimal):
                yield Follow(bowl - cream, f"{grams(bowl)} − {grams(cream)}")
        yield from follow_shades(field, (drawn.a, drawn.b), cream, own)


def _with_recipe(dice: Dice, drawn: Drawn[Regrowth]) -> Drawn[Regrowth] | None:
    """With one of the recipes that divide the cream into whole grams."""
    cream = cream_in(drawn.parameters.bowl, drawn.parameters.d)
    dividing = [parts for parts in SHARES if cream % sum(parts) == 0]
    if not dividing:
        return None
    a, b = dice.pick(dividing)
    return replace(drawn, parameters=replace(drawn.parameters, a=a, b=b))
