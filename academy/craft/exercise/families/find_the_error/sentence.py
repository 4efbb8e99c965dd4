"""The figures of one sentence."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.craft.formula.alligation import strength_of
from academy.craft.measure import round_half_up

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Sentence:
    """The figures of one sentence. ``slip`` is empty where it is true.

    Weights in grams, strengths in per cent, ``volume`` in volume, ``start`` and ``end`` in minutes
    after Monday 00:00; what a template has no use for stays 0. ``rule`` is the rule's value that
    the sentence is about, ``rule_said`` who decided it.
    """

    level: str
    template: str
    slip: str
    grams_1: int = 0
    grams_2: int = 0
    grams_3: int = 0
    percent_1: Decimal = Decimal(0)
    percent_2: Decimal = Decimal(0)
    percent_3: Decimal = Decimal(0)
    volume: int = 0
    d: Decimal = Decimal(0)
    depth: int = 0
    foils: int = 0
    start: int = 0
    end: int = 0
    rule: Decimal = Decimal(0)
    rule_said: str = ""

    @property
    def parts(self) -> list[tuple[Decimal, Decimal]]:
        """Grams and per cent of what is mixed."""
        pairs = (
            (self.grams_1, self.percent_1),
            (self.grams_2, self.percent_2),
            (self.grams_3, self.percent_3),
        )
        return [(Decimal(grams), percent) for grams, percent in pairs if grams]

    def with_parts(self, weights: Sequence[int], percents: Sequence[Decimal]) -> Sentence:
        """The same with these weights and strengths."""
        grams: dict[str, Any] = {
            f"grams_{number}": weight for number, weight in enumerate(weights, 1)
        }
        strengths = {f"percent_{number}": percent for number, percent in enumerate(percents, 1)}
        return replace(self, **grams | strengths)

    @property
    def true(self) -> bool:
        """Nothing is wrong in it."""
        return not self.slip


def plain_mean(sentence: Sentence) -> Decimal:
    """The mean of the strengths, without their weights."""
    percents = [percent for _, percent in sentence.parts]
    return sum(percents, Decimal(0)) / len(percents)


def taken_for_water(sentence: Sentence) -> Decimal:
    """The strength, were all but the strongest part water."""
    (first, percent), *others = sentence.parts
    return strength_of([(first, percent), *((grams, Decimal(0)) for grams, _ in others)])


def third_of(volume: int) -> Decimal:
    """A third of the volume as it is said: two decimals."""
    return round_half_up(Decimal(volume) / 3, 2)
