"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.two_process_timing.own import OwnTimes
from academy.craft.exercise.families.two_process_timing.plan import (
    Service,
    settled_anew,
    throw_service,
)
from academy.craft.exercise.families.two_process_timing.sheet import (
    NEEDS,
    givens_of,
    later_of,
    lines_of,
    room_sum,
    text_of,
    window_sum,
)
from academy.craft.exercise.families.two_process_timing.slips import slips_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.measure import NONE, YES_OR_NO, Kind, Value, clock, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from decimal import Decimal

    from academy.craft.rules import Rules


class TwoProcessTiming:
    """Exercise family ``two-process-timing``."""

    key = "two-process-timing"
    version = 1
    title = "Timing a two-process service"
    trains = "Two clocks, two ceilings, one rinse"
    parameters = Service

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Service] | None:
        """A start, an application and foils; under a label at level exam."""
        return throw_service(dice, level, rules)

    def under(self, drawn: Service, rules: Rules) -> Drawn[Service] | None:
        """The same service under other rules, at level exam beside the same label."""
        return settled_anew(drawn, rules)

    def identity(self, drawn: Service) -> str:
        """Everything that enters a time."""
        roots = f"{drawn.root_minutes}-{drawn.root_ceiling}"
        begun = f"{clock(drawn.starts_at)}/{drawn.application}/{roots}"
        packets = f"{drawn.foils}x{drawn.pace}"
        if drawn.level == Level.FIRST:
            return f"first/{begun}/{packets}"
        exposure = f"{drawn.change_over}-{drawn.foil_least}-{drawn.foil_ceiling_after}"
        asked = f"{begun}/{packets}/{exposure}"
        return f"{asked}/{drawn.label}/{drawn.more}" if drawn.label else asked

    def key_of(self, drawn: Service) -> dict[str, Value]:
        """Clock times, minutes, a yes or no, and how many foils fit."""
        key: dict[str, Value] = {
            "root_check": drawn.root_check,
            "root_latest": drawn.root_latest,
            "spread": drawn.spread,
        }
        if drawn.level == Level.FIRST:
            return key
        key |= {
            "first": drawn.first_closed,
            "last": drawn.last_closed,
            "foil_check": drawn.foil_check,
            "ready": drawn.foils_ready,
            "foil_ceiling": drawn.foil_ceiling,
            "earliest": drawn.earliest,
            "latest": drawn.latest,
            "possible": _yes(drawn.possible),
            "most": drawn.most_foils,
        }
        if drawn.rounds:
            longer = drawn.longer
            key |= {"new_earliest": longer.earliest, "new_possible": _yes(longer.possible)}
        return key

    def fields(self, drawn: Service, tolerances: Tolerances) -> tuple[Field, ...]:
        """The roots and the spread, or the whole plan; the earliest joint rinse weighs double."""
        del tolerances
        return tuple(_asked(drawn))

    def mistakes(self, drawn: Service) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: Service) -> str:
        """One service to plan."""
        return text_of(drawn)

    def givens(self, drawn: Service) -> tuple[Given, ...]:
        """Start and minutes of both processes."""
        return givens_of(drawn)

    def lines(self, drawn: Service, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """End of roots, check and ceiling, first and last foil, the window, most foils."""
        return lines_of(drawn, own)

    def follow(self, drawn: Service, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Every later time on own earlier ones, and what follows from the own window."""
        if drawn.level == Level.FIRST or not own:
            return
        times = OwnTimes(drawn, own)
        found = _follow_time(drawn, field, times) or _follow_window(field, times)
        if found is not None:
            yield found


def _follow_time(drawn: Service, field: str, times: OwnTimes) -> Follow | None:
    """What follows from the own first or last foil."""
    if field == "last":
        return _after(times.first, drawn.spread)
    if field == "foil_check":
        return _after(times.first, drawn.foil_check_after)
    if field == "ready":
        return _after(times.last, drawn.foil_least)
    return None


def _follow_window(field: str, times: OwnTimes) -> Follow | None:
    """What follows from the own window."""
    if field == "earliest":
        return Follow(times.earliest, later_of(times.root_check, times.ready))
    if field == "new_earliest":
        return Follow(times.new_earliest, later_of(times.longer_check, times.ready))
    if field == "possible":
        return _window(times.earliest, times.safe_latest)
    if field == "new_possible":
        return _window(times.new_earliest, times.safe_latest)
    return Follow(times.most, room_sum(times)) if field == "most" else None


def _asked(drawn: Service) -> Iterator[Field]:
    """What is asked, in the order of the sum. A joint rinse may be "none" at level exam."""
    yield _time("root_check", "Root check")
    yield _time("root_latest", "Latest rinse of the roots", safety=Safety.LATER)
    if drawn.level == Level.FIRST:
        needs = NEEDS["spread"]
        yield Field("spread", "Last foil after the first", Kind.MINUTES, needs=needs)
        return
    yield _time("first", "First foil closed")
    yield _time("last", "Last foil closed")
    yield _time("foil_check", "First foil check")
    yield _time("ready", "Foils ready")
    yield _time("foil_ceiling", "Ceiling of the foils", safety=Safety.LATER)
    none, also = drawn.level == Level.EXAM, () if drawn.possible else (NONE,)
    yield _time("earliest", "Earliest joint rinse", weight=2, also=also, or_none=none)
    yield _time("latest", "Latest joint rinse", safety=Safety.LATER, also=also, or_none=none)
    yield Field("possible", "Can all be rinsed together?", Kind.YES_NO, choices=YES_OR_NO)
    yield Field("most", "Most foils that fit", Kind.COUNT, needs=NEEDS["most"])
    if drawn.rounds:
        also = () if drawn.longer.possible else (NONE,)
        yield _time("new_earliest", "New earliest joint rinse", also=also, or_none=none)
        needs = NEEDS["new_possible"]
        label = "Possible after that?"
        yield Field("new_possible", label, Kind.YES_NO, choices=YES_OR_NO, needs=needs)


def _time(key: str, label: str, **more: Any) -> Field:
    return Field(key, label, Kind.CLOCK, needs=NEEDS.get(key, ()), **more)


def _yes(possible: bool) -> str:
    return "yes" if possible else "no"


def _after(since: Decimal, minutes: Decimal) -> Follow:
    return Follow(since + minutes, f"{clock(since)} + {shown(minutes)} min")


def _window(earliest: Decimal, latest: Decimal) -> Follow:
    return Follow(_yes(earliest <= latest), window_sum(earliest, latest))
