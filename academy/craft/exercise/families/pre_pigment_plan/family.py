"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_field
from academy.craft.exercise.families.pre_pigment_plan.plan import (
    PLAIN,
    Filling,
    Wish,
    settled,
    throw_wish,
)
from academy.craft.exercise.families.pre_pigment_plan.sheet import (
    NEEDS,
    WARMTHS,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.families.pre_pigment_plan.slips import slips_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, part_of
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.prepigment import is_needed
from academy.craft.measure import NONE, YES_OR_NO, Kind, Value, counted

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class PrePigmentPlan:
    """Exercise family ``pre-pigment-plan``."""

    key = "pre-pigment-plan"
    version = 1
    title = "Planning pre-pigmentation"
    trains = "When and with which warmth to fill before going dark"
    parameters = Filling

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Filling] | None:
        """Light hair with a darker wish."""
        return settled(throw_wish(dice, level), rules.with_label(None))

    def under(self, drawn: Filling, rules: Rules) -> Drawn[Filling] | None:
        """The same wish under other rules; a house rule that the question sets stays."""
        return settled(part_of(Wish, drawn), rules.with_label(None))

    def identity(self, drawn: Filling) -> str:
        """Depths; from level working on the cream, at level exam how it is turned round."""
        depths = f"{drawn.present}-{drawn.target}"
        if drawn.level == Level.FIRST:
            return f"first/{depths}"
        asked = f"{depths}/{drawn.cream}/{drawn.d}"
        return asked if drawn.form == PLAIN else f"{drawn.form}/{asked}/{drawn.light}"

    def key_of(self, drawn: Filling) -> dict[str, Value]:
        """The whole plan; what is not filled is none."""
        key: dict[str, Value] = {
            "difference": drawn.difference,
            "needed": "yes" if drawn.needed else "no",
            "warmth": drawn.warmth if drawn.needed else NONE,
            "shade": drawn.shade if drawn.needed else NONE,
            "grams": drawn.grams if drawn.needed else NONE,
            "strength": drawn.strength,
            "developer": developer_for(drawn.cream, drawn.d),
        }
        if drawn.form != PLAIN:
            key["decided_by"] = drawn.needed_by
        return key

    def fields(self, drawn: Filling, tolerances: Tolerances) -> tuple[Field, ...]:
        """Need (double weight) and warmth; from level working on the whole plan."""
        return tuple(
            replace(field, needs=NEEDS[field.key]) for field in self._asked(drawn, tolerances)
        )

    def _asked(self, drawn: Filling, tolerances: Tolerances) -> Iterator[Field]:
        near = tolerances.grams
        also: tuple[Value, ...] = ()
        if drawn.needed and drawn.accepted:
            also = tuple(drawn.accepted.split(", "))
        if drawn.level != Level.FIRST:
            yield Field("difference", "Depths darker", Kind.STEPS)
        yield Field("needed", "Pre-pigmentation needed?", Kind.YES_NO, 2, choices=YES_OR_NO)
        yield Field(
            "warmth", "Warmth to fill with", Kind.CHOICE, choices=WARMTHS, also=also, or_none=True
        )
        if drawn.level == Level.FIRST:
            return
        yield Field("shade", "Depth of the pre-pigment", Kind.DEPTH, or_none=True)
        yield Field("grams", "Pre-pigment", Kind.GRAMS, tolerance=near, or_none=True)
        yield Field(
            "strength",
            "Developer strength for the colour",
            Kind.STRENGTH,
            tolerance=tolerances.strength,
        )
        yield Field("developer", "Developer for the colour", Kind.GRAMS, tolerance=near)
        if drawn.form != PLAIN:
            yield decided_field("whether it is needed")

    def mistakes(self, drawn: Filling) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Filling) -> str:
        """One head of light hair, one darker wish."""
        return text_of(drawn)

    def givens(self, drawn: Filling) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Filling, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Difference, need, filling, and the colour that follows."""
        return lines_of(drawn, own)

    def follow(self, drawn: Filling, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """The need by the own difference; nothing else."""
        difference = own.get("difference")
        if field == "needed" and isinstance(difference, Decimal):
            needed = "yes" if is_needed(difference, drawn.needed_from) else "no"
            rule = counted(drawn.needed_from, "depth")
            yield Follow(needed, f"{counted(difference, 'depth')}, needed from {rule}")
