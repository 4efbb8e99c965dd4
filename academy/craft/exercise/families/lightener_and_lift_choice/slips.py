"""The slips of lift and lightener, each under its own condition."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.formula.lift import Place, ProductKind
from academy.craft.formula.mixture import cream_in
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.families.lightener_and_lift_choice.plan import LiftPlan

STRONG = (Decimal(6), Decimal(9), Decimal(12))
COLOURS = (ProductKind.PERMANENT, ProductKind.HIGH_LIFT)


def slips_of(drawn: LiftPlan) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    yield Mistake("upside-down", "lift", -drawn.lift, "Lighter is a higher number.")
    if drawn.lift > 0 and drawn.tinted:
        for colour in COLOURS:
            yield Mistake(
                "colour-lifts-colour", "product", colour.value, "Colour does not lift colour."
            )
    elif drawn.lift > 0 and drawn.place is Place.FOILS:
        for colour in COLOURS:
            yield Mistake(
                "colour-in-foils",
                "product",
                colour.value,
                "In foils the lightener lifts; the ladder of colour is for the scalp.",
            )
    if drawn.level != Level.FIRST and drawn.product is ProductKind.LIGHTENER:
        yield from _lightener_slips(drawn)


def _lightener_slips(drawn: LiftPlan) -> Iterator[Mistake]:
    powder, d = drawn.powder, drawn.d
    for stronger in STRONG:
        if stronger > drawn.strength:
            yield Mistake("too-strong", "strength", stronger, "Slower and checked beats stronger.")
    yield Mistake(
        "powder-as-bowl",
        "powder",
        cream_in(powder, d),
        "The factor is powder, before developer.",
    )
    if drawn.place is not Place.FOILS:
        return
    times = "one and a half times" if d == Decimal("1.5") else f"{shown(d)} times"
    yield Mistake("one-to-one", "developer", powder, f"1:{shown(d)} means {times} the powder.")
    if d < 2:
        yield Mistake("double", "developer", 2 * powder, "Too thin, it will bleed.")
