"""One bowl, what it is drawn from, the ratio that is settled for it, and its slips."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import SILENT_ONE_IN, TUBE, label_of_kind
from academy.craft.exercise.family import Dice, Drawn
from academy.craft.exercise.question import Level, Mistake
from academy.craft.exercise.shades import SHARES, TONES, two_shades
from academy.craft.formula.mixture import bowl_of, cream_in, developer_for, shared
from academy.craft.measure import shown
from academy.craft.rules import DecidedBy, Label

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.rules import Rule, Rules

RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
KINDS = {"permanent": "permanent colour", "quasi": "quasi-permanent colour"}
LEAST_BOWL, MOST_BOWL = 30, 180
LEAST_CREAM, MOST_CREAM = 10, 90
EVEN = 2


@dataclass(frozen=True, slots=True)
class Bowl:
    """Weights in grams, ratios as the d of 1:d; ``label_d`` is None on a label without ratio."""

    level: str
    d: Decimal
    cream: Decimal
    a: int = 1
    b: int = 1
    depth: int = 0
    tone: str = ""
    kind: str = ""
    house_d: Decimal | None = None
    house_by: str = ""
    label_d: Decimal | None = None
    label_name: str = ""

    @property
    def overridden(self) -> bool:
        """The label gives another ratio than the house."""
        return self.label_d is not None and self.label_d != self.house_d

    @property
    def bowl(self) -> Decimal:
        """Grams in the bowl."""
        return bowl_of(self.cream, self.d)

    @property
    def developer(self) -> Decimal:
        """Grams of developer."""
        return developer_for(self.cream, self.d)

    @property
    def shades(self) -> tuple[str, str]:
        """The two shades in plain words."""
        return two_shades(self.depth, self.tone)

    @property
    def decided_by(self) -> str:
        """Who decided the ratio at level exam."""
        return self.house_by if self.label_d is None else str(DecidedBy.LABEL)


def throw_bowl(dice: Dice, level: Level) -> Bowl:
    """Cream first, so that the cream and the bowl are whole grams; level first has one shade."""
    d = dice.pick(RATIOS)
    if level is Level.FIRST:
        return Bowl(str(level), d, dice.pick(_creams(d, EVEN)))
    a, b, depth, tone = _recipe(dice)
    return Bowl(str(level), d, dice.pick(_creams(d, a + b)), a, b, depth, tone)


def throw_under_label(dice: Dice, rules: Rules) -> Drawn[Bowl] | None:
    """A bowl beside a label that gives another ratio than the house, or none."""
    label = _own_label(rules)
    kind = dice.pick(tuple(KINDS)) if label is None else label.kind
    house = rules.with_label(None).decide("mixing_ratio", kind=kind)
    if label is None:
        label = _invented_label(dice, kind, house.number, rules.defaults.rule(house.rule_key))
    thrown = Bowl(str(Level.EXAM), house.number, Decimal(0), *_recipe(dice), kind=kind)
    drawn = settled(thrown, label, rules)
    creams = _creams(drawn.parameters.d, thrown.a + thrown.b)
    if not creams:
        return None
    return replace(drawn, parameters=replace(drawn.parameters, cream=dice.pick(creams)))


def settled(bowl: Bowl, label: Label, rules: Rules) -> Drawn[Bowl]:
    """The bowl with the ratio that label and house come to, and who decided it."""
    house = rules.with_label(None).decide("mixing_ratio", kind=bowl.kind)
    decided = rules.with_label(label).decide("mixing_ratio", kind=bowl.kind)
    found = replace(
        bowl,
        d=decided.number,
        house_d=house.number,
        house_by=str(house.decided_by),
        label_d=decided.number if decided.decided_by is DecidedBy.LABEL else None,
        label_name=label.name,
    )
    return Drawn(found, (decided,))


def slips_of(drawn: Bowl) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    if drawn.level == Level.FIRST:
        yield from _forward_slips(drawn)
        return
    d, bowl = drawn.d, drawn.bowl
    half_is_the_house = drawn.overridden and drawn.house_d == 1
    if d != 1 and not (half_is_the_house and d == 2):
        yield Mistake("divided-by-d", "cream", bowl / d, f"Count both parts: 1 + {shown(d)}.")
    if d != 1:
        yield Mistake("swapped", "cream", drawn.developer, "The larger part is the developer.")
    if d not in {1, 2} and not half_is_the_house:
        yield Mistake("half", "cream", bowl / 2, _not_half(d))
    yield from _shade_slips(drawn)
    if drawn.overridden and drawn.house_d:
        house_cream = cream_in(bowl, drawn.house_d)
        yield Mistake("house-ratio", "cream", house_cream, "The label decides.")
        yield Mistake("house-ratio", "decided_by", drawn.house_by, "The label decides.")


def _forward_slips(drawn: Bowl) -> Iterator[Mistake]:
    d, cream = drawn.d, drawn.cream
    if d != 1:
        times = f"The developer is the larger part: {shown(d)} times the cream."
        yield Mistake("divided-by-d", "developer", cream / d, times)
        yield Mistake("half", "developer", cream, _not_half(d))


def _shade_slips(drawn: Bowl) -> Iterator[Mistake]:
    a, b = drawn.a, drawn.b
    of_bowl, _ = shared(drawn.bowl, Decimal(a), Decimal(b))
    yield Mistake("shade-of-bowl", "shade_1", of_bowl, "The shades share the cream, not the bowl.")
    if a != b:
        yield Mistake("even-shades", "shade_1", drawn.cream / 2, f"{a}:{b} are not equal parts.")


def _not_half(d: Decimal) -> str:
    return f"1:{shown(d)} is not half and half."


def _recipe(dice: Dice) -> tuple[int, int, int, str]:
    a, b = dice.pick(SHARES)
    return a, b, dice.whole(4, 8), dice.pick(TONES)


def _own_label(rules: Rules) -> Label | None:
    """The label the paper was set with, where it gives one ratio or none."""
    label = label_of_kind(rules, *KINDS)
    return label if label is not None and len(label.ratios) <= 1 else None


def _invented_label(dice: Dice, kind: str, house_d: Decimal, rule: Rule) -> Label:
    """A label with another ratio than the house's, or with none."""
    others = [d for d in RATIOS if rule.allows(d) and d != house_d]
    silent = dice.chance(SILENT_ONE_IN) or not others
    return Label(TUBE, kind, ratios=() if silent else (dice.pick(others),))


@cache
def _creams(d: Decimal, parts: int) -> tuple[Decimal, ...]:
    """Whole grams of cream that divide into so many parts and make a whole bowl of a fair size."""
    creams = (Decimal(cream) for cream in range(LEAST_CREAM, MOST_CREAM + 1))
    return tuple(cream for cream in creams if cream % parts == 0 and _fits(bowl_of(cream, d)))


def _fits(size: Decimal) -> bool:
    return size == int(size) and LEAST_BOWL <= size <= MOST_BOWL
