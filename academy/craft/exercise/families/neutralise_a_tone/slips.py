"""The slips of neutralising, each under its own condition."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.formula.mixture import bowl_of, developer_for
from academy.craft.formula.undertone import counter_grams, neighbours, place_on_wheel

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from academy.craft.exercise.families.neutralise_a_tone.plan import Toner

NO_LIFT = "A toner does not lift: lift more first."


def slips_of(drawn: Toner) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    own_colour = place_on_wheel(drawn.stage)
    beside = [tone for tone in neighbours(drawn.tone) if tone not in {*drawn.also, own_colour}]
    if own_colour is not None and own_colour not in drawn.also:
        yield Mistake("same-side", "tone", own_colour, "That adds what you want to lose.")
    if drawn.lift_first:
        yield from _too_early(drawn, beside)
        return
    for tone in beside:
        yield Mistake("neighbour", "tone", tone, "Close, one step round.")
    if drawn.level != Level.FIRST:
        yield from _weight_slips(drawn)


def _too_early(drawn: Toner, beside: list[str]) -> Iterator[Mistake]:
    """A toner where more lift is needed: its tones and its weights."""
    for tone in (drawn.tone, *drawn.also, *beside):
        yield Mistake("toner-lifts", "tone", tone, NO_LIFT)
    yield Mistake("toner-lifts", "counter", drawn.counter, NO_LIFT)
    yield Mistake("toner-lifts", "partner", drawn.cream - drawn.counter, NO_LIFT)
    yield Mistake("toner-lifts", "developer", developer_for(drawn.cream, drawn.d), NO_LIFT)


def _weight_slips(drawn: Toner) -> Iterator[Mistake]:
    cream, share = drawn.cream, drawn.share
    of_bowl = counter_grams(bowl_of(cream, drawn.d), share)
    of_developer = counter_grams(developer_for(cream, drawn.d), share)
    taken: set[Decimal] = set()
    for name, weight, sentence in (
        ("swapped", cream - drawn.counter, "The small part is the counter-tone."),
        ("of-bowl", of_bowl, "Share of the cream only."),
        ("of-developer", of_developer, "The developer carries no tone."),
    ):
        if weight not in taken:
            yield Mistake(name, "counter", weight, sentence)
        taken.add(weight)
    yield Mistake("on-top", "partner", cream, "Take it out of the cream, do not add it.")
