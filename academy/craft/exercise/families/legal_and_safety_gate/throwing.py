"""Throwing a card: the reasons first, then the figures that lead to them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from academy.craft.exercise.families.legal_and_safety_gate.card import (
    CLEAR,
    CONTRA_INDICATIONS,
    DAYS_OF_WORK,
    NO_TO_ALL,
    NOT_READ,
    REACTED,
    Card,
)
from academy.craft.exercise.question import Level
from academy.craft.formula.bowl import INGREDIENTS
from academy.craft.formula.gate import MINUTES_IN_AN_HOUR, Against, Gate
from academy.craft.formula.mixture import ingredient_on_the_head
from academy.craft.measure import MINUTES_IN_A_DAY

if TYPE_CHECKING:
    from academy.craft.exercise.family import Dice
    from academy.craft.rules import Decided, Rules

YOUNGEST, OLDEST = 14, 70
OPENS, CLOSES = 9 * 60, 18 * 60
STRENGTHS = (Decimal(3), Decimal(6), Decimal(9), Decimal(12))
RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
BESIDE_THE_LIMIT = Decimal("0.15")
UNDER, AT, OVER = "under", "at", "over"

_POOL = (
    Against.AGE,
    Against.HOURS,
    Against.HOURS,
    Against.HOURS,
    Against.READING,
    Against.DAYS,
    Against.PRODUCT,
    Against.CONTRA_INDICATION,
)


@dataclass(frozen=True, slots=True)
class Settled:
    """The rules of a card: those of the gate, and the limit of its ingredient."""

    gate: Gate
    limit: Decided | None

    @classmethod
    def of(cls, rules: Rules, ingredient: str) -> Settled:
        limit = rules.decide("legal_limit", ingredient=ingredient) if ingredient else None
        return cls(Gate.of(rules), limit)

    @property
    def decided(self) -> tuple[Decided, ...]:
        """Every rule that the question rests on."""
        gate = self.gate
        person = (gate.age, gate.hours, gate.days)
        return person if self.limit is None else (*person, gate.peroxide, self.limit)

    def values(self) -> dict[str, Any]:
        """What the parameters keep of it."""
        gate = self.gate
        kept: dict[str, Any] = {"peroxide_limit": gate.peroxide.number}
        for name, rule in (
            ("hours_least", gate.hours),
            ("days_most", gate.days),
            ("age_least", gate.age),
        ):
            what = name.partition("_")[0]
            kept |= {
                name: rule.number,
                f"{what}_rule": rule.sentence,
                f"{what}_by": str(rule.decided_by),
            }
        return kept if self.limit is None else kept | {"limit": self.limit.number}


class _Times(NamedTuple):
    tested: int
    service: int
    days: int | None = None


def settle(card: Card, rules: Rules) -> tuple[Card, tuple[Decided, ...]]:
    """The same card under other rules."""
    settled = Settled.of(rules, card.ingredient)
    return replace(card, **settled.values()), settled.decided


def throw_card(dice: Dice, level: Level, rules: Rules) -> tuple[Card, tuple[Decided, ...]] | None:
    """One card; None where its times fall outside the hours of work."""
    ingredient = "" if level is Level.FIRST else dice.pick(tuple(INGREDIENTS))
    settled = Settled.of(rules, ingredient)
    wanted = _wanted(dice, level)
    times = _times(dice, level, settled.gate, wanted)
    if times is None:
        return None
    reading = CLEAR
    if Against.READING in wanted:
        reading = dice.pick((NOT_READ, NOT_READ, REACTED))
    contra = Against.CONTRA_INDICATION in wanted
    card = Card(
        level=str(level),
        age=_age(dice, level, settled.gate.age.number, too_young=Against.AGE in wanted),
        tested=times.tested,
        service=times.service,
        days=times.days,
        reading=reading,
        same_product=Against.PRODUCT not in wanted,
        asked=dice.pick(CONTRA_INDICATIONS) if contra else NO_TO_ALL,
        last_colour=dice.whole(4, 20),
        **settled.values(),
        **({} if settled.limit is None else _mix(dice, level, ingredient, settled.limit.number)),
    )
    return card, settled.decided


def _wanted(dice: Dice, level: Level) -> frozenset[Against]:
    """The reasons of the person and the test; hours and days never together."""
    if level is Level.FIRST:
        return frozenset() if dice.chance(3) else frozenset({dice.pick(_POOL)})
    if level is Level.WORKING:
        found = {dice.pick(_POOL) for _ in range(dice.pick((0, 0, 0, 1, 1, 2, 3)))}
    else:
        found = {dice.pick(_POOL)} if dice.chance(4) else set()
        found |= {Against.AGE} if dice.chance(4) else set()
        found |= {Against.HOURS} if dice.chance(3) else set()
    return frozenset(found - {Against.DAYS} if Against.HOURS in found else found)


def _age(dice: Dice, level: Level, least: Decimal, *, too_young: bool) -> int:
    bound = int(least)
    if too_young:
        return bound - 1 if level is Level.EXAM else dice.whole(YOUNGEST, bound - 1)
    if level is Level.EXAM:
        return bound + dice.whole(0, 1)
    return bound if dice.chance(4) else dice.whole(bound + 1, OLDEST)


def _times(dice: Dice, level: Level, gate: Gate, wanted: frozenset[Against]) -> _Times | None:
    """Test and service, in one week or weeks apart."""
    too_old = Against.DAYS in wanted
    if too_old or (Against.HOURS not in wanted and dice.chance(6)):
        return _weeks_apart(dice, level, int(gate.days.number), too_old=too_old)
    step = 60 if level is Level.FIRST else 30
    tested = dice.whole(0, 3) * MINUTES_IN_A_DAY + dice.whole(OPENS, CLOSES, step)
    full = tested + gate.hours.number * MINUTES_IN_AN_HOUR
    if full != int(full):
        return None
    if Against.HOURS in wanted:
        late = -step if level is Level.EXAM else -dice.whole(step, MINUTES_IN_A_DAY, step)
    elif level is Level.EXAM:
        late = step * dice.whole(0, 1)
    else:
        late = 0 if dice.chance(4) else dice.whole(0, MINUTES_IN_A_DAY, step)
    service = int(full) + late
    day, clock = divmod(service, MINUTES_IN_A_DAY)
    if day >= DAYS_OF_WORK or not OPENS <= clock <= CLOSES:
        return None
    # Only an earliest time at which somebody works can be offered.
    if full // MINUTES_IN_A_DAY >= DAYS_OF_WORK:
        return None
    return _Times(tested, service)


def _weeks_apart(dice: Dice, level: Level, most: int, *, too_old: bool) -> _Times | None:
    if level is Level.EXAM:
        days = most + too_old
    else:
        days = dice.whole(most + 1, most + 28) if too_old else dice.whole(most // 2, most)
    weekday = dice.whole(0, DAYS_OF_WORK - 1)
    # Nobody was tested on a Sunday.
    if (weekday - days) % 7 == DAYS_OF_WORK:
        return None
    service = weekday * MINUTES_IN_A_DAY + dice.whole(OPENS, CLOSES, 30)
    return _Times(0, service, days)


def _mix(dice: Dice, level: Level, ingredient: str, limit: Decimal) -> dict[str, Any]:
    """Developer, ratio, and an ingredient under, at or over its limit, a third each."""
    d = dice.pick(RATIOS)
    percent = dice.pick(STRENGTHS)
    strongest = percent == STRENGTHS[-1]
    return {
        "percent": percent,
        "in_volume": strongest and (level is Level.EXAM or dice.chance(3)),
        "d": d,
        "ingredient": ingredient,
        "tube": dice.pick(_tubes(limit, d, dice.pick((UNDER, AT, OVER)))),
    }


@cache
def _tubes(limit: Decimal, d: Decimal, side: str) -> tuple[Decimal, ...]:
    """Per cents in the tube that come out on this side of the limit, clear of it or exactly at."""
    at = limit * (1 + d)
    if side == AT:
        return (at.normalize() + 0,)
    quarters = (Decimal(n) / 4 for n in range(2, int(at * 6)))
    return tuple(
        tube
        for tube in quarters
        if (tube < at) == (side == UNDER)
        and abs(ingredient_on_the_head(tube, d) - limit) >= BESIDE_THE_LIMIT
    )
