"""Light hair with a darker wish, thrown, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.family import Dice, Drawn, scalars_of
from academy.craft.exercise.question import Level
from academy.craft.formula.prepigment import (
    PrePigment,
    depths_darker,
    is_needed,
    pre_pigment,
    pre_pigment_grams,
)
from academy.craft.formula.undertone import undertone_at
from academy.craft.measure import counted
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Rules

PLAIN, SET, PART = "plain", "set", "part"
SET_FROM = Decimal(2)
"""From how many depths on the house of a ``SET`` question fills."""

_PAIRS = tuple(
    (present, target) for present in range(7, 11) for target in range(3, 9) if target < present
)
_TWO_APART = tuple(pair for pair in _PAIRS if pair[0] - pair[1] == SET_FROM)


@dataclass(frozen=True, slots=True)
class Wish:
    """What is there and wished for: depths, grams of colour cream, ``light`` of it for light hair.

    ``form`` is plain, set (the house has a rule of its own) or part (only the lengths are light).
    """

    level: str
    form: str
    present: int
    target: int
    cream: Decimal
    light: Decimal


@dataclass(frozen=True, slots=True)
class Filling(Wish):
    """A wish with the rule values that hold for it; ``…_rule`` say who decided.

    ``needed_by`` is who decided the need, ``house`` the house rule as printed at level exam.
    """

    needed_from: Decimal
    needed_rule: str
    needed_by: str
    house: str
    warmth: str
    warmth_rule: str
    accepted: str
    warmth_now: str
    counter_tones: str
    lighter: Decimal
    share: Decimal
    filler_strength: Decimal
    strength: Decimal
    strength_rule: str
    d: Decimal

    @property
    def difference(self) -> Decimal:
        """Depths darker."""
        return depths_darker(self.present, self.target)

    @property
    def needed(self) -> bool:
        """Whether the hair is filled first."""
        return is_needed(self.difference, self.needed_from)

    @property
    def shade(self) -> Decimal:
        """Depth of the pre-pigment, where there is one."""
        return self.target + self.lighter

    @property
    def grams(self) -> Decimal:
        """Grams of pre-pigment, where there is one."""
        return pre_pigment_grams(self.light, self.share)


def throw_wish(dice: Dice, level: Level) -> Wish:
    """Light hair that is to go darker."""
    form = dice.pick((SET, PART)) if level is Level.EXAM else PLAIN
    present, target = dice.pick(_TWO_APART if form == SET and dice.chance(2) else _PAIRS)
    cream = dice.whole(40 if form == PART else 20, 80, 20)
    light = dice.whole(20, cream - 20, 20) if form == PART else cream
    return Wish(str(level), form, present, target, Decimal(cream), Decimal(light))


def settled(wish: Wish, rules: Rules) -> Drawn[Filling] | None:
    """The wish under these rules; None where the shade would lie between two depths."""
    plan = pre_pigment(wish.present, wish.target, rules)
    house = "none of its own"
    if wish.form == SET:
        plan = _under_house_rule(plan)
    if plan.needed_from.decided_by is DecidedBy.HOUSE:
        house = counted(plan.needed_from.number, "depth")
    if plan.shade_depth != int(plan.shade_depth):
        return None
    ratio = rules.decide("mixing_ratio", kind="permanent")
    warmth, now = plan.warmth, undertone_at(wish.present, rules)
    counters = (warmth.counter_tone.word, *warmth.accepted_counter_tones)
    same: dict[str, Any] = scalars_of(wish)
    filling = Filling(
        **same,
        needed_from=plan.needed_from.number,
        needed_rule=plan.needed_from.sentence,
        needed_by=str(plan.needed_from.decided_by),
        house=house if wish.level == Level.EXAM else "",
        warmth=warmth.stage.word,
        warmth_rule=warmth.stage.sentence,
        accepted=", ".join(warmth.accepted_stages),
        warmth_now=now.stage.word,
        counter_tones=", ".join(counters),
        lighter=plan.lighter.number,
        share=plan.share.number,
        filler_strength=plan.filler_developer.number,
        strength=plan.developer.number,
        strength_rule=plan.developer.sentence,
        d=ratio.number,
    )
    need: tuple[Decided, ...] = (plan.needed_from, warmth.stage)
    if wish.level == Level.FIRST:
        return Drawn(filling, need)
    weights = (plan.lighter, plan.share, plan.filler_developer, plan.developer, ratio)
    return Drawn(filling, (*need, *weights))


def _under_house_rule(plan: PrePigment) -> PrePigment:
    """The plan in a house that fills from 2 depths on."""
    rule = replace(
        plan.needed_from,
        value=SET_FROM,
        decided_by=DecidedBy.HOUSE,
        sentence=f"{counted(SET_FROM, 'depth')}, the house rule of this question",
    )
    return replace(plan, needed_from=rule, needed=is_needed(plan.difference, SET_FROM))
