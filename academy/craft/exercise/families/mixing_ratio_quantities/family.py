"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_field
from academy.craft.exercise.families.mixing_ratio_quantities.bowls import (
    Bowl,
    settled,
    slips_of,
    throw_bowl,
    throw_under_label,
)
from academy.craft.exercise.families.mixing_ratio_quantities.sheet import (
    NEEDS,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.shades import follow_shades
from academy.craft.formula.mixture import cream_in, developer_for, shared
from academy.craft.measure import Kind, Value, shown
from academy.craft.rules import Label

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class MixingRatioQuantities:
    """Exercise family ``mixing-ratio-quantities``."""

    key = "mixing-ratio-quantities"
    version = 1
    title = "Quantities from a mixing ratio"
    trains = "From bowl to parts and back"
    parameters = Bowl

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Bowl] | None:
        """A bowl of whole grams; at level exam beside a label."""
        if level is Level.EXAM:
            return throw_under_label(dice, rules)
        return Drawn(throw_bowl(dice, level))

    def under(self, drawn: Bowl, rules: Rules) -> Drawn[Bowl]:
        """At level exam the house ratio comes anew, beside the same label; the bowl stays.

        Its cream may then be no whole number of grams any more.
        """
        if drawn.level != Level.EXAM:
            return Drawn(drawn)
        ratios = () if drawn.label_d is None else (drawn.label_d,)
        anew = settled(drawn, Label(drawn.label_name, drawn.kind, ratios=ratios), rules)
        cream = cream_in(drawn.bowl, anew.parameters.d)
        return replace(anew, parameters=replace(anew.parameters, cream=cream))

    def identity(self, drawn: Bowl) -> str:
        """Ratio, cream, recipe; at level exam also the house ratio."""
        house = "" if drawn.house_d is None else f"/{drawn.house_d}/{drawn.decided_by}"
        given = "forwards" if drawn.level == Level.FIRST else f"{drawn.a}:{drawn.b}"
        return f"{drawn.d}/{drawn.cream}/{given}{house}"

    def key_of(self, drawn: Bowl) -> dict[str, Value]:
        """Weights in grams, and who decided the ratio at level exam."""
        first, second = shared(drawn.cream, Decimal(drawn.a), Decimal(drawn.b))
        key: dict[str, Value] = {
            "cream": drawn.cream,
            "shade_1": first,
            "shade_2": second,
            "developer": drawn.developer,
            "bowl": drawn.bowl,
        }
        if drawn.level == Level.EXAM:
            key["decided_by"] = drawn.decided_by
        return key

    def fields(self, drawn: Bowl, tolerances: Tolerances) -> tuple[Field, ...]:
        """Forwards developer and bowl; else cream (double weight), shades, developer."""

        def weighed(key: str, label: str, weight: int = 1) -> Field:
            return Field(key, label, Kind.GRAMS, weight, tolerances.grams, needs=NEEDS[key])

        if drawn.level == Level.FIRST:
            return weighed("developer", "Developer"), weighed("bowl", "Everything in the bowl")
        first, second = drawn.shades
        asked = (
            weighed("cream", "Colour cream in all", 2),
            weighed("shade_1", first.capitalize()),
            weighed("shade_2", second.capitalize()),
            weighed("developer", "Developer"),
        )
        if drawn.level == Level.WORKING:
            return asked
        return *asked, decided_field("the ratio", NEEDS["decided_by"])

    def mistakes(self, drawn: Bowl) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Bowl) -> str:
        """One bowl to weigh out."""
        return text_of(drawn)

    def givens(self, drawn: Bowl) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Bowl, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Parts of the bowl, one part, shades, developer, and the sum back to the bowl."""
        return lines_of(drawn, own)

    def follow(self, drawn: Bowl, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Shades and developer on the own cream; forwards, the bowl on the own developer."""
        cream, developer = own.get("cream"), own.get("developer")
        if field == "bowl" and isinstance(developer, Decimal):
            yield Follow(drawn.cream + developer, f"{grams(drawn.cream)} + {grams(developer)}")
        if not isinstance(cream, Decimal):
            return
        yield from follow_shades(field, (drawn.a, drawn.b), cream, own)
        if field == "developer":
            yield Follow(developer_for(cream, drawn.d), f"{grams(cream)} × {shown(drawn.d)}")
            yield Follow(drawn.bowl - cream, f"{grams(drawn.bowl)} − {grams(cream)}")
