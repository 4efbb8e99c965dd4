"""What is printed: the text, the times in part, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.ordering import order_line
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.measure import clock, shown
from academy.craft.timing import Event

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.families.order_of_a_two_process_plan.events import PlanOrder

NAMES = {
    Event.ROOT_ENDS: "Root colour is on",
    Event.FOILS_START: "First foil begun",
    Event.FIRST_CLOSED: "First foil closed",
    Event.LAST_CLOSED: "Last foil closed",
    Event.ROOT_CHECK: "Root check",
    Event.FOIL_CHECK: "First foil check",
    Event.FOILS_READY: "Foils ready",
    Event.ROOT_LATEST: "Latest rinse of the roots",
    Event.FOIL_CEILING: "Ceiling of the foils",
    Event.LATEST: "Latest joint rinse",
}


ON_THE_CLOCK = {
    Level.FIRST: {Event.ROOT_ENDS, Event.FIRST_CLOSED, Event.LAST_CLOSED},
    Level.WORKING: {Event.FIRST_CLOSED},
    Level.EXAM: set(),
}
"""The events whose clock time is printed."""


def text_of(drawn: PlanOrder) -> str:
    """One service whose times stand in the table."""
    many = len(drawn.in_order)
    product = f" with {drawn.label}" if drawn.label else ""
    known = {
        Level.FIRST: "Some clock times are given below, two checks you work out.",
        Level.WORKING: "Two clock times are given below, the others you work out.",
        Level.EXAM: "The start is given below, every other clock time you work out.",
    }[Level(drawn.level)]
    return (
        f"You plan root colour and foils on one head{product}. {known} Put these {many} "
        "events in the order in which they happen, first to last."
    )


def givens_of(drawn: PlanOrder) -> tuple[Given, ...]:
    """Clock times in part, and minutes for the rest."""
    return *_root_givens(drawn), *_foil_givens(drawn), *_label_givens(drawn)


def _root_givens(drawn: PlanOrder) -> Iterator[Given]:
    yield Given("Root colour starts", clock(drawn.starts_at))
    on_the_clock = ON_THE_CLOCK[Level(drawn.level)]
    if Event.ROOT_ENDS in on_the_clock:
        yield Given("Root colour is on", clock(drawn.root_ends))
    else:
        yield Given("Application takes", shown(drawn.application), "min")
    yield Given("Roots develop", shown(drawn.root_minutes), "min")
    if {Event.LATEST, Event.ROOT_LATEST} & set(drawn.in_order):
        yield Given("Ceiling of the roots", shown(drawn.root_ceiling), "min")


def _foil_givens(drawn: PlanOrder) -> Iterator[Given]:
    events, on_the_clock = set(drawn.in_order), ON_THE_CLOCK[Level(drawn.level)]
    if drawn.level == Level.EXAM or Event.FOILS_START in events:
        yield Given("Gloves and comb", shown(drawn.change_over), "min")
    if Event.FIRST_CLOSED in on_the_clock:
        yield Given("First foil closed", clock(drawn.first_closed))
    if Event.LAST_CLOSED in on_the_clock:
        yield Given("Last foil closed", clock(drawn.last_closed))
    else:
        yield Given("Foils", shown(drawn.foils))
        yield Given("Pace, minutes for one foil", shown(drawn.pace), "min", "Pace")
    look = "First look at the foil closed first, after"
    yield Given(look, shown(drawn.foil_check_after), "min", "First look after")
    if Event.FOILS_READY in events:
        yield Given("A foil needs at least", shown(drawn.foil_least), "min")
    if {Event.LATEST, Event.FOIL_CEILING} & events:
        yield Given("A foil has at most", shown(drawn.foil_ceiling_after), "min")


def _label_givens(drawn: PlanOrder) -> Iterator[Given]:
    if drawn.label:
        counted_from = "start" if drawn.from_start else "end"
        yield Given("Label", drawn.label)
        yield Given("Time counts from the", f"{counted_from} of application", short="Time counts")


def lines_of(drawn: PlanOrder) -> tuple[Line, ...]:
    """Event after event with its time, then the letters in a row."""
    lines = [
        Line(NAMES[event], _sum(drawn, event), clock(drawn.at(event))) for event in drawn.in_order
    ]
    return *lines, order_line(drawn.right)


def timed(drawn: PlanOrder, event: Event) -> str:
    """The event with its time: "Root check (11:00)"."""
    return f"{NAMES[event]} ({clock(drawn.at(event))})"


def inside(drawn: PlanOrder, event: Event) -> str:
    """The same inside a sentence."""
    name = timed(drawn, event)
    return name[0].lower() + name[1:]


def _sum(drawn: PlanOrder, event: Event) -> str:
    """How the time of an event comes about; beside a given time its minutes are not printed."""
    if event in ON_THE_CLOCK[Level(drawn.level)]:
        return "as given"
    since, minutes = {
        Event.ROOT_ENDS: (drawn.starts_at, drawn.application),
        Event.FOILS_START: (drawn.root_ends, drawn.change_over),
        Event.FIRST_CLOSED: (drawn.foils_start, drawn.pace),
        Event.LAST_CLOSED: (drawn.first_closed, drawn.spread),
        Event.ROOT_CHECK: (drawn.root_counts_from, drawn.root_minutes),
        Event.FOIL_CHECK: (drawn.first_closed, drawn.foil_check_after),
        Event.FOILS_READY: (drawn.last_closed, drawn.foil_least),
        Event.ROOT_LATEST: (drawn.root_counts_from, drawn.root_ceiling),
        Event.FOIL_CEILING: (drawn.first_closed, drawn.foil_ceiling_after),
    }.get(event, (drawn.root_latest, drawn.foil_ceiling))
    if event is Event.LATEST:
        return f"the earlier of {clock(since)} and {clock(minutes)}"
    return f"{clock(since)} + {shown(minutes)} min"
