"""Which events of a service are asked about, and the orders that slips in its times come to."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.two_process_timing.plan import (
    PACKETS,
    Service,
    throw_roots,
    with_foils,
)
from academy.craft.exercise.family import Dice, Drawn
from academy.craft.exercise.ordering import NamedOrder, order_of, shuffled
from academy.craft.exercise.question import Level
from academy.craft.measure import Order, shown
from academy.craft.timing import Event

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from decimal import Decimal

    from academy.craft.rules import Rules

FIRST_EVENTS = (
    Event.ROOT_ENDS,
    Event.FIRST_CLOSED,
    Event.LAST_CLOSED,
    Event.ROOT_CHECK,
    Event.FOIL_CHECK,
)
TURNING = (Event.LAST_CLOSED, Event.ROOT_CHECK, Event.FOIL_CHECK, Event.FOILS_READY)
"""The events whose order depends on the numbers: level working always has them."""
OTHERS = (Event.ROOT_ENDS, Event.FOILS_START, Event.FIRST_CLOSED, Event.LATEST)
WORKING_OTHERS = 2


@dataclass(frozen=True, slots=True)
class PlanOrder(Service):
    """A plan and the events asked about, in the order of the clock with commas between.

    ``letters`` are those that the events have, in the same order.
    """

    events: str = ""
    letters: str = ""

    @property
    def in_order(self) -> list[Event]:
        """The events from first to last."""
        return [Event(name) for name in self.events.split(",")]

    @property
    def printed(self) -> list[Event]:
        """The events as they are lettered."""
        by_letter = dict(zip(self.letters, self.in_order, strict=True))
        return [by_letter[letter] for letter in sorted(by_letter)]

    @property
    def right(self) -> Order:
        """The letters in the order of the clock."""
        return Order(tuple(self.letters))


def throw_order(dice: Dice, level: Level, rules: Rules) -> Drawn[PlanOrder] | None:
    """A service with any number of foils, and some of its events under letters."""
    # The times of level first are those of the whole plan as well, so all its rules are named.
    thrown = throw_roots(dice, Level.EXAM if level is Level.EXAM else Level.WORKING, rules)
    timed = None if thrown is None else with_foils(thrown, *dice.pick(PACKETS))
    if timed is None:
        return None
    events = shuffled(dice, _events(dice, level, timed.parameters))
    return asked(timed, level, events)


def _events(dice: Dice, level: Level, service: Service) -> list[Event]:
    """Which events are asked about."""
    if level is Level.FIRST:
        return list(FIRST_EVENTS)
    if level is Level.WORKING:
        return [*TURNING, *shuffled(dice, OTHERS)[:WORKING_OTHERS]]
    roots_first = service.root_latest < service.foil_ceiling
    later = Event.FOIL_CEILING if roots_first else Event.ROOT_LATEST
    begun = dice.pick((Event.ROOT_ENDS, Event.FOILS_START))
    return [*TURNING, begun, Event.FIRST_CLOSED, Event.LATEST, later]


def asked(drawn: Drawn[Service], level: Level, events: Sequence[Event]) -> Drawn[PlanOrder] | None:
    """The events on this service, lettered as they come; None where two fall on the same minute."""
    service = drawn.parameters
    if len({service.at(event) for event in events}) < len(events):
        return None
    in_order = sorted(events, key=service.at)
    values: dict[str, Any] = {
        **{field.name: getattr(service, field.name) for field in fields(Service)},
        "level": str(level),
        "events": ",".join(in_order),
        "letters": "".join(order_of(in_order, events).keys),
    }
    return Drawn(PlanOrder(**values), drawn.decided)


def slips_of(drawn: PlanOrder) -> Iterator[NamedOrder]:
    """The orders that slips in the times come to; one that leaves two at a minute comes to none."""
    letter_of = dict(zip(drawn.in_order, drawn.letters, strict=True))
    for name, times, sentence in _slipped(drawn):
        if len({times[event] for event in letter_of}) == len(letter_of):
            order = sorted(letter_of, key=times.__getitem__)
            yield NamedOrder(name, Order(tuple(letter_of[event] for event in order)), sentence)


def _slipped(drawn: PlanOrder) -> Iterator[tuple[str, dict[Event, Decimal], str]]:
    times, last = _times(drawn), drawn.last_closed
    late = {
        Event.ROOT_CHECK: last + drawn.root_minutes,
        Event.ROOT_LATEST: last + drawn.root_ceiling,
        Event.LATEST: min(last + drawn.root_ceiling, drawn.foil_ceiling),
    }
    early = {Event.FOILS_READY: drawn.first_closed + drawn.foil_least}
    from_start = replace(drawn, from_start=True)
    yield "from-start", _times(from_start), "Time counts from the end of application."
    yield "in-a-row", times | late, "The two run at the same time."
    yield "first-decides", times | early, "The last foil is the youngest."
    if drawn.level == Level.EXAM:
        # At the other levels the first foil's time is printed.
        none = _times(replace(drawn, change_over=drawn.change_over * 0))
        yield "no-changeover", none, f"Gloves and comb take {shown(drawn.change_over)} min."


def _times(plan: PlanOrder) -> dict[Event, Decimal]:
    return {event: plan.at(event) for event in plan.in_order}
