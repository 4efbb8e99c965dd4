"""Hair lifted to a depth, what is wanted of it, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Drawn
from academy.craft.exercise.question import Level
from academy.craft.formula.undertone import HowStrong, counter_grams, undertone_at

if TYPE_CHECKING:
    from academy.craft.rules import Rules

LIFT_FIRST = "lift more first"


@dataclass(frozen=True, slots=True)
class Toner:
    """Depths, grams of cream, the d of 1:d; ``share`` in per cent; ``…_rule`` say who decided.

    ``accepted`` are the further counter-tones, parted by commas.
    """

    level: str
    reached: int
    target: int
    how_strong: str
    cream: Decimal
    stage: str
    stage_rule: str
    tone: str
    tone_rule: str
    accepted: str
    share: Decimal
    share_rule: str
    d: Decimal

    @property
    def lift_first(self) -> bool:
        """Lighter is wanted than has been reached."""
        return self.target > self.reached

    @property
    def also(self) -> tuple[str, ...]:
        """The further tones that earn the marks."""
        return tuple(self.accepted.split(", ")) if self.accepted else ()

    @property
    def counter(self) -> Decimal:
        """Grams of the counter-tone."""
        return counter_grams(self.cream, self.share)


Thrown = tuple[Level, int, int, HowStrong, Decimal]


def settled(thrown: Thrown, rules: Rules) -> Drawn[Toner]:
    """The throw with the rule values that hold for it."""
    level, reached, target, how_strong, cream = thrown
    undertone = undertone_at(reached, rules)
    stage, tone = undertone.stage, undertone.counter_tone
    share = rules.decide("counter_share", how_strong=how_strong.value)
    ratio = rules.decide("mixing_ratio", kind="quasi")
    toner = Toner(
        level=str(level),
        reached=reached,
        target=target,
        how_strong=how_strong.value,
        cream=cream,
        stage=stage.word,
        stage_rule=stage.sentence,
        tone=tone.word,
        tone_rule=tone.sentence,
        accepted=", ".join(undertone.accepted_counter_tones),
        share=share.number,
        share_rule=share.sentence,
        d=ratio.number,
    )
    return Drawn(toner, (stage, tone) if level is Level.FIRST else (stage, tone, share, ratio))
