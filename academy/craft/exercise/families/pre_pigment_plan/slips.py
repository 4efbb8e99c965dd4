"""The slips of pre-pigmentation, each under its own condition."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.pre_pigment_plan.plan import PART
from academy.craft.exercise.families.pre_pigment_plan.sheet import OFFERED
from academy.craft.exercise.question import Level, Mistake
from academy.craft.formula.prepigment import pre_pigment_grams
from academy.craft.measure import NONE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.families.pre_pigment_plan.plan import Filling
    from academy.craft.measure import Value

LIFTING = (Decimal(6), Decimal(9))
FILLED = ("warmth", "shade", "grams")
SKIPPED = "The warmth is gone; colour alone goes flat or green."


def slips_of(drawn: Filling) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    yield from _skipped(drawn) if drawn.needed else _needless(drawn)
    if drawn.level == Level.FIRST:
        return
    yield Mistake("inclusive", "difference", drawn.difference + 1, "Count steps, not names.")
    for stronger in LIFTING:
        if stronger > drawn.strength:
            yield Mistake("strong", "strength", stronger, "Nothing is to lift.")
    if drawn.form == PART and drawn.needed:
        whole = pre_pigment_grams(drawn.cream, drawn.share)
        yield Mistake(
            "all-over", "grams", whole, "Only the light lengths are filled, not the regrowth."
        )


def _skipped(drawn: Filling) -> Iterator[Mistake]:
    yield Mistake("skipped", "needed", "no", SKIPPED)
    for field in FILLED:
        yield Mistake("skipped", field, NONE, SKIPPED)
    if drawn.warmth_now not in drawn.accepted.split(", "):
        yield Mistake("warmth-of-now", "warmth", drawn.warmth_now, "Fill for where you go.")
    for tone in drawn.counter_tones.split(", "):
        if tone in OFFERED:
            yield Mistake(
                "counter-tone", "warmth", tone, "You are adding warmth, not cancelling it."
            )


def _needless(drawn: Filling) -> Iterator[Mistake]:
    steps = "One or two steps keep" if drawn.needed_from > 2 else "One step keeps"
    filled: dict[str, Value] = {
        "needed": "yes",
        "warmth": drawn.warmth,
        "shade": drawn.shade,
        "grams": drawn.grams,
    }
    for field, value in filled.items():
        yield Mistake("needless", field, value, f"{steps} enough warmth.")
