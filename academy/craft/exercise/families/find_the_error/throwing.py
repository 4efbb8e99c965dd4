"""Throwing a sentence: its template, whether it is true, and figures that work out."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from itertools import combinations, product
from typing import TYPE_CHECKING

from academy.craft.exercise.families.find_the_error.sentence import (
    Sentence,
    plain_mean,
    taken_for_water,
)
from academy.craft.exercise.families.find_the_error.slips import OWN, Slip, Template
from academy.craft.exercise.families.find_the_error.wording import TAKEN_OFF
from academy.craft.exercise.question import Level
from academy.craft.formula.alligation import strength_of
from academy.craft.formula.mixture import on_the_head
from academy.craft.measure import MINUTES_IN_A_DAY

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.family import Dice
    from academy.craft.rules import Decided, Rules

TEMPLATES = {
    Level.FIRST: (Template.VOLUME, Template.BOTTLE, Template.HALVES, Template.RATIO),
    Level.WORKING: (
        Template.MIXTURE,
        Template.MIXTURE,
        Template.MIXTURE,
        Template.LIMIT,
        Template.COVER,
        Template.TINT,
        Template.VOLUME,
        Template.BOTTLE,
        Template.HALVES,
    ),
    Level.EXAM: (
        Template.MIXTURE,
        Template.MIXTURE,
        Template.DATES,
        Template.DATES,
        Template.CLOCKS,
    ),
}
TRUE_ONE_IN = 4
STRENGTHS = tuple(Decimal(n) for n in (12, 9, 6, 4, 3, 2))
STOCKED = tuple(Decimal(n) for n in (3, 6, 9, 12))
RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
WEIGHTS = range(20, 121, 10)
THREE_WEIGHTS = (20, 30, 40, 60, 80)
LIMITED = (Decimal(12), Decimal(9))
CLEAR = Decimal("0.3")
MORNING, EVENING = (9 * 60, 11 * 60), (16 * 60, 19 * 60)


def throw_sentence(
    dice: Dice, level: Level, rules: Rules
) -> tuple[Sentence, tuple[Decided, ...]] | None:
    """One sentence with what it rests on; None where these figures do not work out."""
    template = dice.pick(TEMPLATES[level])
    slip = "" if dice.chance(TRUE_ONE_IN) else str(OWN[template])
    sentence = Sentence(str(level), template.value, slip)
    with_figures = _FIGURES.get(template)
    return settle(with_figures(dice, sentence) if with_figures else sentence, rules)


def settle(sentence: Sentence, rules: Rules) -> tuple[Sentence, tuple[Decided, ...]] | None:
    """The same sentence under these rules; None where nothing stronger is stocked to claim."""
    if sentence.template == Template.LIMIT:
        limit = rules.decide("legal_limit", ingredient="peroxide")
        return replace(sentence, rule=limit.number, rule_said=limit.sentence), (limit,)
    if sentence.template == Template.COVER:
        taught = rules.decide("developer_strength", task="full_coverage")
        stronger = next((percent for percent in STOCKED if percent > taught.number), None)
        if stronger is None:
            return None
        settled = replace(
            sentence, rule=taught.number, rule_said=taught.sentence, percent_1=stronger
        )
        return settled, (taught,)
    return sentence, ()


def _mixture(dice: Dice, sentence: Sentence) -> Sentence:
    slip, parts = sentence.slip, 3 if sentence.level == Level.EXAM else 2
    if slip and parts == 2 and dice.chance(3):
        slip = str(Slip.WATER)
    weights, percents = dice.pick(_mixtures(parts, slip))
    return replace(sentence, slip=slip).with_parts(weights, percents)


def _dates(dice: Dice, sentence: Sentence) -> Sentence:
    """Two days apart: from an evening to a morning, or to the same hour."""
    day = dice.whole(0, 3) * MINUTES_IN_A_DAY
    if sentence.true:
        start = end = dice.whole(MORNING[0], EVENING[1], 30)
    else:
        start, end = dice.whole(*EVENING, 30), dice.whole(*MORNING, 30)
    return replace(sentence, start=day + start, end=day + 2 * MINUTES_IN_A_DAY + end)


def _volume(dice: Dice, sentence: Sentence) -> Sentence:
    return replace(sentence, volume=dice.whole(10, 40, 10))


def _bottle(dice: Dice, sentence: Sentence) -> Sentence:
    percent, d = dice.pick(_bottles())
    return replace(sentence, percent_1=percent, d=d)


def _halves(dice: Dice, sentence: Sentence) -> Sentence:
    """Of 6 % half is 3 % less, and of 3 % less nothing would be left: not claimed of these."""
    usable = STRENGTHS
    if not sentence.true:
        usable = tuple(p for p in STRENGTHS if p > TAKEN_OFF and p != 2 * TAKEN_OFF)
    return replace(sentence, percent_1=dice.pick(usable))


def _limit(dice: Dice, sentence: Sentence) -> Sentence:
    return replace(sentence, percent_1=dice.pick(LIMITED))


def _tint(dice: Dice, sentence: Sentence) -> Sentence:
    return replace(sentence, depth=dice.whole(3, 6))


def _clocks(dice: Dice, sentence: Sentence) -> Sentence:
    return replace(sentence, foils=dice.whole(6, 14, 2))


_FIGURES = {
    Template.MIXTURE: _mixture,
    Template.VOLUME: _volume,
    Template.BOTTLE: _bottle,
    Template.HALVES: _halves,
    Template.LIMIT: _limit,
    Template.TINT: _tint,
    Template.DATES: _dates,
    Template.CLOCKS: _clocks,
}

_Mixture = tuple[tuple[int, ...], tuple[Decimal, ...]]


@cache
def _mixtures(parts: int, slip: str) -> tuple[_Mixture, ...]:
    """Weights and strengths whose strength and claim are short figures, clear of each other."""
    return tuple(_sums(parts, slip))


def _sums(parts: int, slip: str) -> Iterator[_Mixture]:
    sizes = WEIGHTS if parts == 2 else THREE_WEIGHTS
    for percents in combinations(STRENGTHS, parts):
        for weights in product(sizes, repeat=parts):
            if len(set(weights)) == 1 or not _short(_weighted(weights, percents), sum(weights)):
                continue
            mixed = Sentence("", Template.MIXTURE, slip).with_parts(weights, percents)
            right, mean = strength_of(mixed.parts), plain_mean(mixed)
            claimed = taken_for_water(mixed) if slip == Slip.WATER else mean
            figures = {right, mean, claimed}
            if _decimals_of(claimed) > 1 or len(figures) < (3 if slip == Slip.WATER else 2):
                continue
            if all(abs(one - other) >= CLEAR for one, other in combinations(figures, 2)):
                yield weights, percents


def _weighted(weights: tuple[int, ...], percents: tuple[Decimal, ...]) -> int:
    return sum(grams * int(percent) for grams, percent in zip(weights, percents, strict=True))


def _short(peroxide: int, total: int) -> bool:
    """At most one decimal."""
    return peroxide * 10 % total == 0


def _decimals_of(figure: Decimal) -> int:
    exponent = figure.normalize().as_tuple().exponent
    return -exponent if isinstance(exponent, int) else 0


@cache
def _bottles() -> tuple[tuple[Decimal, Decimal], ...]:
    """Strength and ratio whose strength on the head is a short figure."""
    return tuple(
        (percent, d)
        for percent in STRENGTHS
        for d in RATIOS
        if _decimals_of(on_the_head(percent, d)) <= 2
    )
