"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import SILENT_ONE_IN, TUBE, decided_field, label_of_kind
from academy.craft.exercise.families.gloss_equal_parts.bowls import (
    AT_SHADE,
    LABEL,
    LABEL_STRENGTHS,
    PLAIN,
    RINSE,
    TOTALS,
    WHAT_NOW,
    Gloss,
    label_of,
    settled,
    slips_of,
)
from academy.craft.exercise.families.gloss_equal_parts.sheet import (
    NEEDS,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, figure, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.exercise.shades import TONES, follow_shades
from academy.craft.measure import Kind, Value, shown
from academy.craft.rules import Label

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class GlossEqualParts:
    """Exercise family ``gloss-equal-parts``."""

    key = "gloss-equal-parts"
    version = 1
    title = "Gloss in equal parts"
    trains = "Three equal parts and a short clock"
    parameters = Gloss

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Gloss] | None:
        """A bowl; after level first with its shades and its clock, at level exam a label."""
        total = dice.pick(TOTALS)
        if level is Level.FIRST:
            return settled(Gloss(str(level), PLAIN, total), None, rules)
        first, second = dice.pick(((1, 0), (2, 1)))
        depth, tone = dice.whole(4, 10), dice.pick(TONES)
        at = dice.whole(9 * 60, 18 * 60, 5)
        form = dice.pick((LABEL, AT_SHADE)) if level is Level.EXAM else PLAIN
        gloss = Gloss(
            str(level),
            form,
            total,
            first=first,
            second=second,
            depth=depth,
            tone=tone,
            applied_at=at,
        )
        return _watched(settled(gloss, _exam_label(dice, rules) if form != PLAIN else None, rules))

    def under(self, drawn: Gloss, rules: Rules) -> Drawn[Gloss] | None:
        """The same gloss beside the same label; strength and times come anew."""
        anew = settled(drawn, label_of(drawn, rules), rules)
        return anew if drawn.level == Level.FIRST else _watched(anew)

    def identity(self, drawn: Gloss) -> str:
        """Bowl, strength, shades and clock."""
        if drawn.level == Level.FIRST:
            return f"first/{drawn.total}"
        who = f"/{drawn.house_percent}/{drawn.decided_by}" if drawn.label else ""
        shades = f"{drawn.first}:{drawn.second}"
        return f"{drawn.form}/{drawn.total}/{drawn.percent}/{shades}/{drawn.applied_at}{who}"

    def key_of(self, drawn: Gloss) -> dict[str, Value]:
        """Weights in grams, strength in per cent, clock times in minutes after midnight."""
        third = drawn.third
        key: dict[str, Value] = {"colour": third, "developer": third, "conditioner": third}
        if drawn.level == Level.FIRST:
            return key
        key |= {"strength": drawn.strength, "first_look": drawn.look_at, "latest": drawn.latest_at}
        if drawn.second:
            shade = third * drawn.first / (drawn.first + drawn.second)
            key |= {"shade_1": shade, "shade_2": third - shade}
        if drawn.form == AT_SHADE:
            key |= {"now": RINSE, "rinse": drawn.look_at}
        if drawn.form == LABEL:
            key["decided_by"] = drawn.decided_by
        return key

    def fields(self, drawn: Gloss, tolerances: Tolerances) -> tuple[Field, ...]:
        """The three weights (colour double), then shades, strength, and the clock."""

        def weighed(key: str, label: str, weight: int = 1) -> Field:
            return Field(key, label, Kind.GRAMS, weight, tolerances.grams, needs=NEEDS[key])

        three = (
            weighed("colour", "Colour", 2),
            weighed("developer", "Developer"),
            weighed("conditioner", "Conditioner"),
        )
        if drawn.level == Level.FIRST:
            return three
        first, second = (shade.capitalize() for shade in drawn.shades)
        shades = (weighed("shade_1", first), weighed("shade_2", second)) if drawn.second else ()
        near, needs = tolerances.strength, NEEDS["strength"]
        strength = Field("strength", "In the bowl, peroxide", Kind.STRENGTH, 1, near, needs=needs)
        look = Field("first_look", "First look", Kind.CLOCK, needs=NEEDS["first_look"])
        return *three, *shades, strength, look, *_ending(drawn)

    def mistakes(self, drawn: Gloss) -> Iterator[Mistake]:
        """The slips of the trade page; those of lines that are not asked fall away."""
        return slips_of(drawn)

    def text(self, drawn: Gloss) -> str:
        """One gloss to mix, apply and watch."""
        return text_of(drawn)

    def givens(self, drawn: Gloss) -> tuple[Given, ...]:
        """The figures of the text; label and rule at level exam."""
        return givens_of(drawn)

    def lines(self, drawn: Gloss, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """A third of each, the shades, the strength, and the times."""
        return lines_of(drawn, own)

    def follow(self, drawn: Gloss, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """The other weights on the own colour, the strength on the own bowl; times on nothing."""
        colour, developer = own.get("colour"), own.get("developer")
        if field == "strength" and isinstance(developer, Decimal):
            yield from _strengths(drawn, developer, own)
        if not isinstance(colour, Decimal):
            return
        if field in {"developer", "conditioner"}:
            yield Follow(colour, "as much as the colour")
        if drawn.second:
            yield from follow_shades(field, (drawn.first, drawn.second), colour, own)


def _strengths(drawn: Gloss, developer: Decimal, own: Mapping[str, Value]) -> Iterator[Follow]:
    """The own developer in the bowl that was asked for, or in the own one."""
    others = (figure(own.get(name), drawn.third) for name in ("colour", "conditioner"))
    for total in (drawn.total, sum(others, developer)):
        over = f"{shown(drawn.percent)} % × {grams(developer)} ÷ {grams(total)}"
        yield Follow(drawn.percent * developer / total, over)


def _ending(drawn: Gloss) -> tuple[Field, ...]:
    latest = Field("latest", "Latest rinse", Kind.CLOCK, safety=Safety.LATER, needs=NEEDS["latest"])
    if drawn.form == PLAIN:
        return (latest,)
    if drawn.form == LABEL:
        return latest, decided_field("the strength", NEEDS["decided_by"])
    return (
        Field("now", "What do you do then?", Kind.CHOICE, choices=WHAT_NOW, needs=NEEDS["now"]),
        Field(
            "rinse",
            "You rinse at",
            Kind.CLOCK,
            safety=Safety.LATER,
            limit=drawn.latest_at,
            needs=NEEDS["rinse"],
        ),
    )


def _exam_label(dice: Dice, rules: Rules) -> Label:
    """The label the paper was set with, if it is a gloss; else one with another strength."""
    own = label_of_kind(rules, "gloss")
    if own is not None and len(own.strengths) <= 1:
        return own
    house = rules.with_label(None).number("developer_strength", task="gloss")
    others = [percent for percent in LABEL_STRENGTHS if percent != house]
    said = () if dice.chance(SILENT_ONE_IN) else (dice.pick(others),)
    return Label(TUBE, "gloss", strengths=said)


def _watched(drawn: Drawn[Gloss]) -> Drawn[Gloss] | None:
    """None where a time is no whole minutes, or nothing could be watched before it is over."""
    look, latest = drawn.parameters.look_after, drawn.parameters.latest_after
    whole = look == int(look) and latest == int(latest)
    return drawn if whole and look < latest else None
