"""The slips of two clocks, each under its own condition."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.measure import clock, shown
from academy.craft.timing import minutes_for

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.families.two_process_timing.plan import Service


def slips_of(drawn: Service) -> Iterator[Mistake]:
    """The slips of the trade page; those that meet the right value are left out by the engine."""
    yield Mistake(
        "from-start",
        "root_check",
        drawn.starts_at + drawn.root_minutes,
        "Time counts from the end of application.",
    )
    if drawn.level == Level.FIRST:
        yield Mistake(
            "n-spread",
            "spread",
            minutes_for(drawn.foils, drawn.pace),
            "The first foil has no wait.",
        )
        return
    yield Mistake(
        "in-a-row",
        "root_check",
        drawn.last_closed + drawn.root_minutes,
        "The two run at the same time.",
    )
    change = f"Gloves and comb take {shown(drawn.change_over)} min."
    for key, time in (("first", drawn.first_closed), ("last", drawn.last_closed)):
        yield Mistake("no-changeover", key, time - drawn.change_over, change)
    yield Mistake(
        "one-clock",
        "foil_ceiling",
        drawn.foils_start + drawn.foil_ceiling_after,
        f"Each foil has its own clock; the first closes {shown(drawn.pace)} min later.",
    )
    yield Mistake(
        "first-decides",
        "ready",
        drawn.first_closed + drawn.foil_least,
        "The last foil is the youngest.",
    )
    if not drawn.possible:
        sentence = _past(drawn, clock(drawn.earliest))
        yield Mistake("ceiling-forgotten", "latest", drawn.earliest, sentence)
        yield Mistake("ceiling-forgotten", "possible", "yes", sentence)
    if drawn.rounds and not drawn.longer.possible:
        sentence = _past(drawn, clock(drawn.longer.earliest))
        yield Mistake("ceiling-forgotten", "new_possible", "yes", sentence)


def _past(drawn: Service, then: str) -> str:
    if drawn.root_latest <= drawn.foil_ceiling:
        return f"At {then} the roots are past their ceiling of {clock(drawn.root_latest)}."
    return f"At {then} the first foil is past its ceiling of {clock(drawn.foil_ceiling)}."
