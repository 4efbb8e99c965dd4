"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.two_process_timing.own import OwnTimes
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.measure import clock, counted, shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from decimal import Decimal

    from academy.craft.exercise.families.two_process_timing.plan import Service
    from academy.craft.measure import Value

WAYS_OUT = "open foils singly, lay fewer, or rinse the roots first with foils closed and covered"
_ROOTS = ("Root colour starts", "Application takes")
_FOILS = ("Gloves and comb", "Foils", "Pace")
_COUNTS = ("Time counts",)
NEEDS: Mapping[str, tuple[str, ...]] = {
    "root_check": (*_ROOTS, "Roots develop", *_COUNTS),
    "root_latest": (*_ROOTS, "Ceiling of the roots", *_COUNTS),
    "spread": ("Foils", "Pace"),
    "first": (*_ROOTS, "Gloves and comb", "Pace"),
    "last": _FOILS,
    "foil_check": ("First look",),
    "ready": ("A foil needs",),
    "foil_ceiling": ("A foil has",),
    "most": ("A foil needs", "Pace", "Gloves and comb"),
    "new_earliest": ("Roots need",),
    "new_possible": ("Roots need", "Ceiling of the roots", "A foil has"),
}


def text_of(drawn: Service) -> str:
    """One service on one head; at level first one process at a time."""
    start, application = clock(drawn.starts_at), shown(drawn.application)
    develops = f"{shown(drawn.root_minutes)} min"
    ceiling = f"{shown(drawn.root_ceiling)} min"
    foils = f"{counted(drawn.foils, 'foil')} at {shown(drawn.pace)} min each"
    if drawn.level == Level.FIRST:
        return (
            f"You apply root colour from {start} and need {application} min. It develops "
            f"{develops}, its ceiling is {ceiling}. On another head you close {foils}. When do "
            "you check the roots, when must they be out, and how long after the first foil is "
            "the last one closed?"
        )
    product = f"With {drawn.label} y" if drawn.label else "Y"
    plan = (
        f"{product}ou apply root colour from {start}, {application} min; it develops {develops}, "
        f"ceiling {ceiling}. Then {shown(drawn.change_over)} min for gloves and comb, and {foils}; "
        f"a foil needs {shown(drawn.foil_least)} to {shown(drawn.foil_ceiling_after)} min. "
    )
    if drawn.rounds:
        return (
            f"{plan}Plan the checks and the joint rinse. And if the roots need "
            f"{shown(drawn.more)} min more at their check?"
        )
    return f"{plan}When do you check, and when can all be rinsed together?"


def givens_of(drawn: Service) -> tuple[Given, ...]:
    """Start and minutes of both processes; a label's name, and where its time counts from."""
    rows = [
        Given("Root colour starts", clock(drawn.starts_at)),
        Given("Application takes", shown(drawn.application), "min"),
        Given("Roots develop", shown(drawn.root_minutes), "min"),
        Given("Ceiling of the roots", shown(drawn.root_ceiling), "min"),
    ]
    if drawn.level != Level.FIRST:
        rows.append(Given("Gloves and comb", shown(drawn.change_over), "min"))
    rows += [
        Given("Foils", shown(drawn.foils)),
        Given("Pace, minutes for one foil", shown(drawn.pace), "min", "Pace"),
    ]
    if drawn.level != Level.FIRST:
        rows += [
            Given(
                "First look at the foil closed first, after",
                shown(drawn.foil_check_after),
                "min",
                "First look after",
            ),
            Given("A foil needs at least", shown(drawn.foil_least), "min"),
            Given("A foil has at most", shown(drawn.foil_ceiling_after), "min"),
        ]
    if drawn.rounds:
        rows.append(Given("Roots need more, at their check", shown(drawn.more), "min"))
    if drawn.label:
        counted_from = "start" if drawn.from_start else "end"
        rows += [
            Given("Label", drawn.label),
            Given("Time counts from the", f"{counted_from} of application", short="Time counts"),
        ]
    return tuple(rows)


def lines_of(drawn: Service, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """End of roots, their check and ceiling; first and last foil; the window; most foils."""
    times = OwnTimes(drawn, own)
    roots = tuple(_root_lines(drawn))
    if drawn.level == Level.FIRST:
        wait = f"({shown(drawn.foils)} − 1) × {shown(drawn.pace)} min"
        return *roots, Line(
            "Last foil after the first", wait, f"{shown(drawn.spread)} min", "spread"
        )
    return *roots, *_foil_lines(drawn, times), *_window_lines(times), *_closing_lines(drawn, times)


def _plus(words: str, since: Decimal, minutes: Decimal, field: str = "") -> Line:
    return Line(words, f"{clock(since)} + {shown(minutes)} min", clock(since + minutes), field)


def _wait(drawn: Service) -> str:
    return f"({shown(drawn.foils)} − 1) × {shown(drawn.pace)} min"


def _root_lines(drawn: Service) -> Iterator[Line]:
    since = drawn.root_counts_from
    yield _plus("Root colour is on", drawn.starts_at, drawn.application)
    yield _plus("Root check", since, drawn.root_minutes, "root_check")
    yield _plus("Latest rinse of the roots", since, drawn.root_ceiling, "root_latest")


def _foil_lines(drawn: Service, times: OwnTimes) -> Iterator[Line]:
    first, last = times.first, times.last
    yield _plus("First foil begun", drawn.root_ends, drawn.change_over)
    yield _plus("First foil closed", drawn.foils_start, drawn.pace, "first")
    yield Line(
        "Last foil closed", f"{clock(first)} + {_wait(drawn)}", clock(first + drawn.spread), "last"
    )
    yield _plus("First foil check", first, drawn.foil_check_after, "foil_check")
    yield _plus("Foils ready, by the last one", last, drawn.foil_least, "ready")
    yield _plus(
        "Ceiling of the foils, by the first one", first, drawn.foil_ceiling_after, "foil_ceiling"
    )


def _window_lines(times: OwnTimes) -> Iterator[Line]:
    check, ready = times.root_check, times.ready
    roots, foils = times.root_latest, times.foil_ceiling
    yield Line("Earliest joint rinse", later_of(check, ready), clock(max(check, ready)), "earliest")
    yield Line(
        "Latest joint rinse",
        f"the earlier of {clock(roots)} and {clock(foils)}",
        clock(min(roots, foils)),
        "latest",
    )
    yield Line("Possible?", *_possible(times.earliest, times.latest), "possible")


def _closing_lines(drawn: Service, times: OwnTimes) -> Iterator[Line]:
    at = times.earliest
    yield Line("Most foils that fit", room_sum(times), shown(times.most), "most")
    if drawn.possible:
        yield Line(
            f"Exposure at {clock(at)}",
            f"{clock(at)} − {clock(times.first)}; {clock(at)} − {clock(times.last)}",
            f"first foil {shown(at - times.first)} min, last foil {shown(at - times.last)} min",
        )
    else:
        yield Line("Not together", WAYS_OUT, "your educator decides")
    if not drawn.rounds:
        return
    check, ready = times.longer_check, times.ready
    yield _plus("Root check, extended", times.root_check, drawn.more)
    yield Line(
        "New earliest joint rinse", later_of(check, ready), clock(max(check, ready)), "new_earliest"
    )
    yield Line("Possible after that?", *_possible(times.new_earliest, times.latest), "new_possible")


def later_of(one: Decimal, other: Decimal) -> str:
    """The two times of which the later counts."""
    return f"the later of {clock(one)} and {clock(other)}"


def room_sum(times: OwnTimes) -> str:
    """From the latest rinse back to the first foil, by the pace."""
    plan = times.plan
    begun = clock(times.first - plan.pace)
    room = f"{clock(times.latest)} − {shown(plan.foil_least)} min − {begun}"
    whole = ", whole foils" if times.room % plan.pace else ""
    return f"({room}) ÷ {shown(plan.pace)} min{whole}"


def window_sum(earliest: Decimal, latest: Decimal) -> str:
    """Whether the earliest is past the latest, in words."""
    past = "is past" if earliest > latest else "is not past"
    return f"{clock(earliest)} {past} {clock(latest)}"


def _possible(earliest: Decimal, latest: Decimal) -> tuple[str, str]:
    return window_sum(earliest, latest), "No" if earliest > latest else "Yes"
