"""What an apprentice says about one sitting on a block, and what it must be to be logged."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from academy.craft.head.zones import Zone
from academy.practice.errors import PracticeError
from academy.practice.models import StrandCheck

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.curriculum.models import ModuleVersion
    from academy.practice.targets import Done
    from academy.practice.timing import Timing

OLDEST_DAYS: Final = 365
MOST_MINUTES: Final = 720
MOST_UNITS: Final = 500
MOST_CHECKS: Final = 3
LATEST_CHECK: Final = 180
LONGEST_TEXT: Final = 1000
LONGEST_NOTE: Final = 300
_CLOCKS_DIFFER: Final = timedelta(minutes=5)
_ZONES: Final = frozenset(zone.value for zone in Zone)


@dataclass(frozen=True)
class Check:
    """A strand check as it is logged; `minute` counts from the end of application.

    `past_ceiling` tells what happened where the ceiling was not kept; empty where it was.
    """

    zone: str
    minute: int
    wiped: bool
    last_place: bool
    seen: str
    decision: str
    stretches_back: bool | None = None
    skin_calm: bool | None = None
    note: str = ""
    past_ceiling: str = ""


@dataclass(frozen=True)
class Sitting:
    """One sitting. `process` says what was on the hair, a key of `timing.PROCESSES` or empty."""

    started_at: datetime
    minutes: int
    units: Sequence[Done]
    zones: Sequence[str] = ()
    criteria: Sequence[str] = ()
    went_well: str = ""
    to_change: str = ""
    checks: Sequence[Check] = ()
    process: str = ""


def check_sitting(version: ModuleVersion, sitting: Sitting, now: datetime) -> None:
    """Raise `PracticeError` with the field at fault, the first one found. Two queries."""
    _check_when(sitting, now)
    _check_units(version, sitting.units)
    if not set(sitting.zones) <= _ZONES:
        raise PracticeError("Choose from the seven zones of the head.", field="zones")
    codes = {criterion.code for criterion in version.criteria.all()}
    if not set(sitting.criteria) <= codes:
        raise PracticeError("Choose from the criteria of this module.", field="criteria")
    for field in ("went_well", "to_change"):
        length = len(getattr(sitting, field))
        if length > LONGEST_TEXT:
            raise PracticeError(
                f"Too long: {length} characters, and {LONGEST_TEXT} fit. Shorten it.", field=field
            )


def check_checks(checks: Sequence[Check], timing: Timing) -> None:
    """Raise `PracticeError` for a strand check that cannot be, or that leaves the ceiling."""
    if len(checks) > MOST_CHECKS:
        raise PracticeError(f"At most {MOST_CHECKS} strand checks fit one sitting.")
    for number, check in enumerate(checks, 1):
        _check_check(number, check)
        _check_ceiling(number, check, timing)


def refusal_of_start(started_at: datetime, now: datetime) -> str:
    """Why a sitting cannot have begun then; empty where it can."""
    if started_at > now + _CLOCKS_DIFFER:
        return "This session starts in the future. Log it once you have done it."
    if started_at < now - timedelta(days=OLDEST_DAYS):
        return "This session is more than a year old. Evidence that old does not count."
    return ""


def _check_when(sitting: Sitting, now: datetime) -> None:
    if refusal := refusal_of_start(sitting.started_at, now):
        raise PracticeError(refusal, field="started_at")
    if not 1 <= sitting.minutes <= MOST_MINUTES:
        raise PracticeError(
            f"Give the minutes as a whole number from 1 to {MOST_MINUTES}, for example 50.",
            field="minutes",
        )


def _check_units(version: ModuleVersion, units: Sequence[Done]) -> None:
    if not units:
        raise PracticeError("Say how much you did, for example 1 head.", field="units")
    known = {(line.unit, line.tag) for line in version.targets.all()}
    known |= {(unit, "") for unit, _ in known}
    kinds = [(done.unit.value, done.tag) for done in units]
    if len(set(kinds)) < len(kinds):
        raise PracticeError("Count each kind once, in one line.", field="units")
    for done, kind in zip(units, kinds, strict=True):
        if known and kind not in known:
            raise PracticeError("This module does not count that.", field="units")
        if not 1 <= done.count <= MOST_UNITS:
            raise PracticeError(f"Count between 1 and {MOST_UNITS}, for example 6.", field="units")


def _check_check(number: int, check: Check) -> None:
    for name, value, known in (
        ("zone", check.zone, _ZONES),
        ("seen", check.seen, StrandCheck.Seen.values),
        ("decision", check.decision, StrandCheck.Decision.values),
    ):
        if value not in known:
            raise PracticeError("This is not on the list. Choose again.", field=f"c{number}_{name}")
    if not 0 <= check.minute <= LATEST_CHECK:
        raise PracticeError(
            f"Give the minutes since the end of application, 0 to {LATEST_CHECK}.",
            field=f"c{number}_minute",
        )
    for name in ("note", "past_ceiling"):
        if len(getattr(check, name)) > LONGEST_NOTE:
            raise PracticeError(
                f"Too long: at most {LONGEST_NOTE} characters fit here.", field=f"c{number}_{name}"
            )


def _check_ceiling(number: int, check: Check, timing: Timing) -> None:
    extend = check.decision == StrandCheck.Decision.EXTEND
    if extend and timing.step is None:
        raise PracticeError(
            f"{timing.words} is not extended. Rinse, and plan another way.",
            field=f"c{number}_decision",
        )
    if timing.fits(check.minute, extend=extend) or check.past_ceiling.strip():
        return
    if extend:
        raise PracticeError(
            f"An extension past the ceiling is not a plan: {check.minute} and {timing.step} more "
            f"is over {timing.ceiling} min. Rinse and plan another way. If it has happened, "
            "log it as an event: say below what happened. Your educator sees it.",
            field=f"c{number}_decision",
        )
    raise PracticeError(
        f"{check.minute} min is past the ceiling of {timing.ceiling} min. Log it as an event: "
        "say what happened. Your educator sees it.",
        field=f"c{number}_past_ceiling",
    )
