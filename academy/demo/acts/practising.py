"""Practice sessions with their strand checks, and the supervisors' word on them."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING, Any

from academy.demo import story
from academy.demo.dice import Dice
from academy.demo.stage import Event, Stage
from academy.practice.services import Check, Sitting as Said, confirm_session, log_session

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from academy.curriculum.models import ModuleVersion
    from academy.demo.calendar import Calendar
    from academy.demo.story import Sitting, Work
    from academy.practice.models import PracticeSession

# Sessions of the last days are not confirmed yet.
CONFIRMED_TO = -3
NO_SUPERVISOR, BY_EDUCATOR = 0.08, 0.7
YUSRA_FROM = -38
_CHECK_FIELDS = (
    "zone",
    "minute",
    "wiped",
    "last_place",
    "seen",
    "decision",
    "stretches_back",
    "skin_calm",
    "note",
)


def events(calendar: Calendar, works: Iterable[Work]) -> Iterator[Event]:
    sittings = sorted(
        [*planned(works), *story.sittings()], key=lambda s: (s.day, s.person, s.module)
    )
    told = Counter[str]()
    checks = _Checks()
    for sitting in sittings:
        dice = Dice("session", sitting.person, sitting.module, sitting.day)
        well, change = _reflection(sitting, told, dice)
        said = checks.of(sitting)
        supervisor = sitting.supervisor or _supervisor(sitting, dice)
        act = _Session(sitting, dice, well, change, said, supervisor, calendar)
        yield from act.events()


def planned(works: Iterable[Work]) -> Iterator[Sitting]:
    """The sessions before the first assessed head, which meet the target, and some between."""
    own = {(sitting.person, sitting.module) for sitting in story.sittings()}
    begun: set[tuple[str, str]] = set()
    for work in works:
        place = (work.person, work.module)
        if place not in begun:
            begun.add(place)
            yield from _before(work)
        between = story.read("practice")["between"].get(work.module)
        if between and place not in own:
            for first, second in zip(work.heads, work.heads[1:], strict=False):
                day = (first.day + second.day) // 2
                yield story.Sitting(work.person, work.module, day, story.units(between))


def _before(work: Work) -> Iterator[Sitting]:
    recipe = story.read("practice")["recipe"][work.module]
    counts = story.read("practice")["checks"].get(work.module)
    joined = story.people()[work.person]["joined_day"]
    dice = Dice("before", work.person, work.module)
    day = work.heads[0].day - 1
    for place in reversed(range(len(recipe))):
        day = max(day - dice.whole(1, 2 if work.heads[0].day - joined < 20 else 3), joined + 1)
        units = story.units(recipe[place])
        in_units = sum(done.count for done in units if done.unit.value == "checks")
        yield story.Sitting(
            work.person, work.module, day, units, checks=counts[place] if counts else in_units
        )


class _Checks:
    """Deals out the written strand checks: a story's own ones to it, the others in turn."""

    def __init__(self) -> None:
        self.dealt = Counter[tuple[str, str]]()

    def of(self, sitting: Sitting) -> tuple[Check, ...]:
        rows = []
        for _ in range(sitting.checks):
            row = self._own(sitting) or self._next(sitting.module, "")
            rows.append(Check(**{name: row[name] for name in _CHECK_FIELDS}))
        return tuple(sorted(rows, key=lambda check: check.minute))

    def _own(self, sitting: Sitting) -> dict[str, Any] | None:
        """The next text of the person, for the sessions that are told with their criteria."""
        left = len(_written(sitting.module, sitting.person))
        if not sitting.criteria or self.dealt[sitting.module, sitting.person] >= left:
            return None
        return self._next(sitting.module, sitting.person)

    def _next(self, module: str, person: str) -> dict[str, Any]:
        rows = _written(module, person)
        row = rows[self.dealt[module, person] % len(rows)]
        self.dealt[module, person] += 1
        return row


@cache
def _written(module: str, person: str) -> list[dict[str, Any]]:
    rows = story.read("strand_checks")["strand_check"]
    return [row for row in rows if row["module"] == module and row.get("person", "") == person]


def _reflection(sitting: Sitting, told: Counter[str], dice: Dice) -> tuple[str, str]:
    if sitting.well or sitting.change:
        return sitting.well, sitting.change
    if dice.share() < 0.2:
        return "", ""
    rows = [r for r in story.read("reflections")["reflection"] if r["module"] == sitting.module]
    row = rows[told[sitting.module] % len(rows)]
    told[sitting.module] += 1
    return row["well"], row["change"]


def _supervisor(sitting: Sitting, dice: Dice) -> str:
    throw = dice.share()
    if throw < NO_SUPERVISOR:
        return ""
    if throw < BY_EDUCATOR:
        return story.educator_of(sitting.person)
    assessors = list(story.ASSESSORS.values())
    return dice.pick(assessors if sitting.day > YUSRA_FROM else assessors[:2])


class _Session:
    """One sitting with everything that was thrown for it."""

    def __init__(
        self,
        sitting: Sitting,
        dice: Dice,
        well: str,
        change: str,
        checks: tuple[Check, ...],
        supervisor: str,
        calendar: Calendar,
    ) -> None:
        self.sitting, self.dice, self.supervisor = sitting, dice, supervisor
        self.well, self.change, self.checks = well, change, checks
        self.calendar = calendar
        self.began = calendar.at(sitting.day, 540 + 5 * dice.whole(0, 72))
        self.pace = 0.8 + 0.6 * dice.share()
        self.session: PracticeSession | None = None

    def events(self) -> Iterator[Event]:
        sitting, calendar = self.sitting, self.calendar
        sent = self.began + timedelta(minutes=170)
        if sitting.late:
            sent = calendar.at(sitting.day + sitting.late, 530)
            # The same draft from the second tablet: it becomes the one row.
            yield Event(sent + timedelta(minutes=2), self.log)
        yield Event(sent, self.log)
        if not self.supervisor:
            return
        answered = sitting.day + self.dice.whole(1, 3)
        if sitting.late or answered <= CONFIRMED_TO:
            day = max(answered, sitting.day + sitting.late + 1)
            if day < 0:
                yield Event(calendar.at(day, 1020 + self.dice.whole(0, 40)), self.confirm)

    def log(self, stage: Stage) -> None:
        sitting = self.sitting
        version = stage.versions[sitting.module]
        self.session = log_session(
            academy=stage.academy,
            apprentice=stage.people[sitting.person],
            version=version,
            client_key=f"demo {sitting.person} {sitting.module} {sitting.day}",
            supervisor=stage.people[self.supervisor] if self.supervisor else None,
            sitting=Said(
                started_at=self.began,
                minutes=self._minutes(version),
                units=sitting.units,
                zones=sitting.zones or self._zones(version),
                criteria=sitting.criteria or self._criteria(version),
                went_well=self.well,
                to_change=self.change,
                checks=self.checks,
            ),
        )

    def confirm(self, stage: Stage) -> None:
        if self.session is None:
            raise RuntimeError("A session is confirmed after it was logged.")
        confirm_session(
            session=self.session,
            supervisor=stage.people[self.supervisor],
            confirmed=not self.sitting.not_confirmed,
            note=self.sitting.not_confirmed,
        )

    def _minutes(self, version: ModuleVersion) -> int:
        """About the time allowed for each whole piece of work, never below a quarter of an hour."""
        whole = max((d.count for d in self.sitting.units if d.unit.value != "foils"), default=1)
        allowed = float(version.time_minutes) if version.time_per == "work" else 25.0
        return max(15, min(165, round(allowed * whole * self.pace)))

    def _zones(self, version: ModuleVersion) -> tuple[str, ...]:
        zones = version.judged_zones
        return tuple(self.dice.some(zones, min(len(zones), self.dice.whole(1, 3))))

    def _criteria(self, version: ModuleVersion) -> tuple[str, ...]:
        codes = [criterion.code for criterion in version.criteria.all()]
        return tuple(self.dice.some(codes, self.dice.whole(1, 2)))
