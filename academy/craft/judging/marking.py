"""What an assessor marked on one head, with the criteria, zones and rules it is judged by."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.scale import HIGHEST, MET, WEAK_ZONE, Level, Rating
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

LOWEST_PASS_LINE: Final = Decimal(60)
HIGHEST_PASS_LINE: Final = Decimal(75)


class Scope(StrEnum):
    """Where a criterion is judged: once in every judged zone, or once for the whole head."""

    ZONES = "zones"
    HEAD = "head"


class SecondCause(StrEnum):
    """Why a second assessor is asked for. The first two are found, the others are given."""

    NEAR_LINE = "near_line"
    RATING_DIFFERS = "rating_differs"
    SAMPLE = "sample"
    REQUEST = "request"
    APPEAL = "appeal"


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing that is judged; `title` is what sentences call it."""

    code: str
    title: str
    scope: Scope
    must_pass: bool = False
    weight: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class JudgedZone:
    """A zone that is judged, and its share of the hair's area (any unit: shares are compared)."""

    code: str
    words: str
    share: Decimal


@dataclass(frozen=True, slots=True)
class Stop:
    """An event that ended the head at once."""

    code: str
    sentence: str


@dataclass(frozen=True, slots=True)
class OutcomeRules:
    """The figures that belong to the module version and its rule set.

    `pass_line` and `near_band` are points of 100; `overtime_share` is a share of the time
    allowed; `most_left_out` is how many judged zones may be "not covered today"; a zone at
    `weak_zone` or under decides "not yet" by itself.
    """

    pass_line: Decimal = Decimal(65)
    near_band: Decimal = Decimal(3)
    overtime_share: Decimal = Decimal("0.20")
    most_left_out: int = 1
    weak_zone: int = WEAK_ZONE

    def __post_init__(self) -> None:
        if not LOWEST_PASS_LINE <= self.pass_line <= HIGHEST_PASS_LINE:
            raise JudgingError(
                f"The pass line is {shown(self.pass_line)}. It must lie from "
                f"{LOWEST_PASS_LINE} to {HIGHEST_PASS_LINE}."
            )
        if min(self.near_band, self.overtime_share, Decimal(self.most_left_out)) < 0:
            raise JudgingError("The band, the overtime and the zones left out cannot be below 0.")
        if self.weak_zone not in range(MET):
            raise JudgingError(
                f"A zone is weak at {self.weak_zone} or under. It must lie from 0 to {MET - 1}."
            )


Place = tuple[str, str | None]


@dataclass(frozen=True, slots=True)
class Marking:
    """One assessment's marks and all that decides with them.

    `marks` maps (criterion code, zone code) to a level; the zone is None for a head criterion.
    `left_out` maps zones "not covered today" to the reason. `partial` says that only the criteria
    of a partial re-assessment are here (trade.md 5.5). Raises `JudgingError` for a mark
    that belongs nowhere, a level or rating that does not exist, and figures out of range.
    """

    criteria: tuple[Criterion, ...]
    zones: tuple[JudgedZone, ...]
    marks: Mapping[Place, int]
    rating: int | None = None
    left_out: Mapping[str, str] = field(default_factory=dict)
    stops: tuple[Stop, ...] = ()
    minutes_used: int | None = None
    minutes_allowed: int | None = None
    asked_for: frozenset[SecondCause] = frozenset()
    blind_second: bool = False
    partial: bool = False
    rules: OutcomeRules = field(default_factory=OutcomeRules)

    def __post_init__(self) -> None:
        _check_criteria(self)
        _check_left_out(self)
        _check_marks(self)
        _check_figures(self)

    @property
    def judged_today(self) -> tuple[JudgedZone, ...]:
        """The judged zones without those left out."""
        return tuple(zone for zone in self.zones if zone.code not in self.left_out)

    def places(self) -> list[tuple[Criterion, JudgedZone | None]]:
        """Every place that needs a level today, criterion by criterion."""
        return [(criterion, zone) for criterion in self.criteria for zone in self.where(criterion)]

    def where(self, criterion: Criterion) -> tuple[JudgedZone | None, ...]:
        """The zones in which a criterion is judged today; (None,) for a head criterion."""
        return self.judged_today if criterion.scope is Scope.ZONES else (None,)

    def level(self, criterion: Criterion, zone: JudgedZone | None) -> Level | None:
        """The level given there, None while there is none."""
        given = self.marks.get((criterion.code, zone.code if zone else None))
        return None if given is None else Level(given)


def missing(marking: Marking) -> list[Place]:
    """The places without a level, in the order of the criteria and zones."""
    return [
        (criterion.code, zone.code if zone else None)
        for criterion, zone in marking.places()
        if marking.level(criterion, zone) is None
    ]


def missed(marking: Marking) -> list[Place]:
    """The places with a level under 3, for the re-assessment (trade.md 5.5)."""
    found: list[Place] = []
    for criterion, zone in marking.places():
        level = marking.level(criterion, zone)
        if level is not None and level < MET:
            found.append((criterion.code, zone.code if zone else None))
    return found


def _check_criteria(marking: Marking) -> None:
    if not marking.criteria:
        raise JudgingError("There are no criteria. A module needs at least one.")
    _no_twins("criterion", (criterion.code for criterion in marking.criteria))
    _no_twins("judged zone", (zone.code for zone in marking.zones))
    for criterion in marking.criteria:
        if criterion.weight <= 0:
            raise JudgingError(f"{criterion.title} has no weight above 0.")
        if criterion.scope is Scope.ZONES and not marking.zones:
            raise JudgingError(f"{criterion.title} is judged by zone; name the judged zones.")
    for zone in marking.zones:
        if zone.share <= 0:
            raise JudgingError(f"The share of hair of the zone {zone.words} must be above 0.")


def _check_left_out(marking: Marking) -> None:
    known = {zone.code for zone in marking.zones}
    for zone, reason in marking.left_out.items():
        if zone not in known:
            raise JudgingError(f"{zone} is not judged in this module, so it cannot be left out.")
        if not reason.strip():
            raise JudgingError(f"Say why the zone {zone} was not covered today.")
    by_zone = any(criterion.scope is Scope.ZONES for criterion in marking.criteria)
    if by_zone and not marking.stops and not marking.judged_today:
        raise JudgingError("Every zone was left out. Judge at least one, or do not submit.")


def _check_marks(marking: Marking) -> None:
    allowed = {
        (criterion.code, zone.code if zone else None) for criterion, zone in marking.places()
    }
    for (criterion, zone), level in marking.marks.items():
        where = f"{criterion} in {zone}" if zone else criterion
        if zone in marking.left_out:
            raise JudgingError(f"There is a mark for {where}, but that zone was left out.")
        if (criterion, zone) not in allowed:
            raise JudgingError(f"There is a mark for {where}, which is not judged here.")
        if type(level) not in (int, Level) or level not in range(HIGHEST + 1):
            raise JudgingError(f"{where} is at {level}. Levels go from 0 to {HIGHEST}.")


def _check_figures(marking: Marking) -> None:
    if marking.rating is not None and marking.rating not in list(Rating):
        raise JudgingError(f"The overall rating is {marking.rating}. It goes from 1 to 5.")
    for minutes in (marking.minutes_used, marking.minutes_allowed):
        if minutes is not None and minutes < 0:
            raise JudgingError(f"The time is {minutes} minutes. It cannot be below 0.")
    found_here = marking.asked_for & {SecondCause.NEAR_LINE, SecondCause.RATING_DIFFERS}
    if found_here:
        raise JudgingError(f"{', '.join(sorted(found_here))} is found, not asked for.")


def _no_twins(what: str, codes: Iterable[str]) -> None:
    seen: set[str] = set()
    for code in codes:
        if code in seen:
            raise JudgingError(f"The {what} {code} is there twice.")
        seen.add(code)
