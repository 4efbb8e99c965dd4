"""What happens on the clock of a head, in order: what is done, where one looks, what must be out.

Roots are looked at near the place applied last, since that is behind. Foils are looked at where
they were closed first, since the ceiling is theirs, then at the last one, which has to be waited
for. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.measure import shown
from academy.craft.timing.telling import told, told_foils, told_limit, told_minutes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from academy.craft.timing.head_clock import HeadClock
    from academy.craft.timing.head_rows import ClockedFoil
    from academy.craft.timing.head_settings import RootColour

LOOKED_AT = 3
"""At most so many foils of the first parting are opened for a look."""


class EventKind(StrEnum):
    """What sort of event it is."""

    DEED = "deed"
    LOOK = "look"
    RINSE = "rinse"
    LIMIT = "limit"


@dataclass(frozen=True, slots=True)
class ClockEvent:
    """One event: when, what in a sentence, and where on the head; "" where that is no one place."""

    at: Decimal
    kind: EventKind
    words: str
    where: str = ""

    @property
    def time(self) -> str:
        """The clock time; part minutes are left out of a limit and rounded up otherwise."""
        return (told_limit if self.kind is EventKind.LIMIT else told)(self.at)


def events_of(clock: HeadClock) -> tuple[ClockEvent, ...]:
    """All events in the order of the clock; at the same minute as they are worked."""
    found = [*_roots(clock), *_foils(clock), *_rinse(clock)]
    return tuple(sorted(found, key=lambda event: event.at))


def _roots(clock: HeadClock) -> Iterator[ClockEvent]:
    roots, sums = clock.settings.roots, clock.sums
    if roots is None:
        return
    first, last = _root_places(roots)
    yield ClockEvent(sums.starts_at, EventKind.DEED, "Begin the root colour.", first)
    change = clock.settings.change_over
    then = f", then {told_minutes(change)} for gloves and comb" if change else ""
    yield ClockEvent(
        sums.root_ends, EventKind.DEED, f"The root colour is on: note the time{then}.", last
    )
    yield ClockEvent(
        sums.root_check,
        EventKind.LOOK,
        "Wipe and look at the roots near the place applied last: it is behind the others.",
        last,
    )
    if not clock.possible or clock.latest < sums.root_latest:
        out = f"The roots must be out: their ceiling is {told_minutes(roots.ceiling)}."
        yield ClockEvent(sums.root_latest, EventKind.LIMIT, out, first)


def _root_places(roots: RootColour) -> tuple[str, str]:
    if not roots.partings:
        return "", ""
    return "root parting 1", f"root parting {roots.partings}"


def _foils(clock: HeadClock) -> Iterator[ClockEvent]:
    first, last = clock.first, clock.last
    ceiling = told_minutes(clock.settings.foil_ceiling_after)
    yield ClockEvent(first.begun, EventKind.DEED, f"Begin {_named(first)}.", _at(first))
    closed = f"Foil {first.number} is closed: note the time. The foils’ ceiling counts from here."
    yield ClockEvent(first.closed, EventKind.DEED, closed, _at(first))
    yield _first_look(clock)
    if last is not first:
        yield ClockEvent(
            last.closed,
            EventKind.DEED,
            f"Foil {last.number}, the last one, is closed: note the time.",
            _at(last),
        )
        yield ClockEvent(last.ready, EventKind.LOOK, _last_look(clock), _at(last))
    if not clock.possible or clock.latest < first.out_by:
        out = f"Foil {first.number} must be out: its ceiling is {ceiling}."
        yield ClockEvent(first.out_by, EventKind.LIMIT, out, _at(first))


def _first_look(clock: HeadClock) -> ClockEvent:
    """At the foils that have had longest, then at the one closed last by then."""
    at = clock.foil_check
    closed = [foil for foil in clock.foils if foil.closed <= at]
    looked = [foil for foil in clock.partings[0].foils if foil.closed <= at][:LOOKED_AT]
    longest = _range(looked[0].exposure(at), looked[-1].exposure(at))
    them = "it has" if len(looked) == 1 else "they have"
    foils = told_foils(tuple(foil.number for foil in looked))
    words = f"Look at {foils}, {_at(looked[0])}: {them} had longest, {longest}."
    youngest = closed[-1]
    if youngest not in looked:
        had = told_minutes(youngest.exposure(at))
        words += f" Then at {_named(youngest)}, closed last so far: {had}."
    return ClockEvent(at, EventKind.LOOK, words, _at(looked[0]))


def _last_look(clock: HeadClock) -> str:
    last, exposure = clock.last, clock.exposure(clock.foils_ready)
    least = told_minutes(exposure.last)
    words = f"Look at {_named(last)}, closed last: it has had its least, {least}."
    if clock.foils_ready > clock.foil_ceiling:
        return words
    return f"{words} Foil {clock.first.number} has had {told_minutes(exposure.first)}."


def _rinse(clock: HeadClock) -> Iterator[ClockEvent]:
    """The joint rinse and the ceiling that ends it, or foils one by one."""
    first, last = clock.first, clock.last
    ceiling = told_minutes(clock.settings.foil_ceiling_after)
    if clock.possible:
        words = f"Earliest joint rinse: {_had(clock, clock.earliest)}."
        yield ClockEvent(clock.earliest, EventKind.RINSE, words)
        ends = [] if clock.latest < first.out_by else [f"foil {first.number}, {ceiling}"]
        if clock.settings.roots and clock.latest == clock.root_latest:
            ends.append(f"the roots, {told_minutes(clock.settings.roots.ceiling)}")
        words = f"Latest joint rinse, the ceiling of {' and of '.join(ends)}: "
        yield ClockEvent(clock.latest, EventKind.LIMIT, f"{words}{_had(clock, clock.latest)}.")
        return
    yield ClockEvent(
        first.ready,
        EventKind.RINSE,
        f"From now on foils come out singly in laying order, foil {first.number} first, "
        "each when it has reached its target.",
        _at(first),
    )
    if last is not first:
        words = f"Foil {last.number}, the last one, must be out: its ceiling is {ceiling}."
        yield ClockEvent(last.out_by, EventKind.LIMIT, words, _at(last))


def _had(clock: HeadClock, at: Decimal) -> str:
    exposure = clock.exposure(at)
    had = f"foil {clock.first.number} has had {told_minutes(exposure.first)}"
    if clock.last is clock.first:
        return had
    return f"{had}, foil {clock.last.number} {told_minutes(exposure.last)}"


def _named(foil: ClockedFoil) -> str:
    where = _at(foil)
    return f"foil {foil.number}, {where}" if where else f"foil {foil.number}"


def _at(foil: ClockedFoil) -> str:
    return foil.foil.where


def _range(one: Decimal, other: Decimal) -> str:
    return told_minutes(one) if one == other else f"{shown(one, 1)} to {told_minutes(other)}"
