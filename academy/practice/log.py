"""What the practice log shows: narrowed lists, totals, weeks, and how far each module is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import groupby
from typing import TYPE_CHECKING, Any

from django.db.models import Count, Max, Q, Sum
from django.utils import timezone

from academy.curriculum.models import ModuleVersion
from academy.practice.models import PracticeSession, StrandCheck
from academy.practice.queries import COUNTS, progress_of_many
from academy.practice.words import time_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from academy.people.models import Academy, Person
    from academy.practice.models import SessionQuerySet
    from academy.practice.targets import Progress

WEEKS_SHOWN = 8
State = PracticeSession.State


@dataclass(frozen=True)
class Totals:
    """Sessions that count, and the minutes in them."""

    sessions: int
    minutes: int

    @property
    def time(self) -> str:
        return time_words(self.minutes)


@dataclass(frozen=True)
class Week:
    """Practice in one week, Monday to Sunday; `share` is its part of the fullest week shown."""

    monday: date
    minutes: int
    sessions: int
    share: float

    @property
    def time(self) -> str:
        return time_words(self.minutes) if self.minutes else "nothing"


@dataclass(frozen=True)
class ModuleSoFar:
    """One module that was begun: on which edition, how often, and how far its target is."""

    version: ModuleVersion
    progress: Progress
    totals: Totals
    latest: datetime


def in_state(state: str) -> Q:
    """The condition for a state of `PracticeSession.State`; an empty word holds for every row."""
    stands = Q(taken_back_at__isnull=True)
    return {
        "": Q(),
        State.WAITING: stands & Q(supervisor__isnull=False, confirmation__isnull=True),
        State.CONFIRMED: stands & Q(confirmation__confirmed=True),
        State.DIFFERENT: stands & Q(confirmation__confirmed=False),
        State.ALONE: stands & Q(supervisor__isnull=True),
        State.TAKEN_BACK: ~stands,
    }[state]


def in_month(first: date) -> Q:
    """Sessions begun in the month of this first day, in the active time zone."""
    following = (first + timedelta(days=32)).replace(day=1)
    return Q(started_at__gte=_midnight(first), started_at__lt=_midnight(following))


def totals_of(sessions: SessionQuerySet) -> Totals:
    """One query; sessions that do not count are left out."""
    sums = sessions.filter(COUNTS).order_by().aggregate(n=Count("pk"), minutes=Sum("minutes"))
    return Totals(sums["n"], sums["minutes"] or 0)


def weeks_of(sessions: SessionQuerySet, today: date) -> list[Week]:
    """The last eight weeks, the latest first. One query."""
    this_monday = today - timedelta(days=today.weekday())
    mondays = [this_monday - timedelta(weeks=n) for n in range(WEEKS_SHOWN)]
    rows = (
        sessions.filter(COUNTS, started_at__gte=_midnight(mondays[-1]))
        .order_by()
        .values_list("started_at", "minutes")
    )
    held: dict[date, list[int]] = {monday: [] for monday in mondays}
    for started_at, minutes in rows:
        day = timezone.localdate(started_at)
        monday = day - timedelta(days=day.weekday())
        # A clock that runs ahead may put the first minutes of a week into the next one.
        held.setdefault(monday, []).append(minutes)
    most = max((sum(minutes) for minutes in held.values()), default=0) or 1
    return [Week(m, sum(held[m]), len(held[m]), sum(held[m]) / most) for m in mondays]


def modules_so_far(apprentice: Person, academy: Academy) -> list[ModuleSoFar]:
    """Every module the apprentice has begun, the latest practised first. Four queries.

    The edition is that of the latest session; sessions on an older one still count in the totals.
    """
    rows = list(
        PracticeSession.objects.filter(COUNTS, apprentice=apprentice, academy=academy)
        .order_by()
        .values("module_version", "module_version__module")
        .annotate(n=Count("pk"), minutes=Sum("minutes"), latest=Max("started_at"))
    )
    rows.sort(key=lambda row: row["latest"], reverse=True)
    editions: dict[int, int] = {}
    for row in rows:
        editions.setdefault(row["module_version__module"], row["module_version"])
    versions = ModuleVersion.objects.select_related("module").in_bulk(list(editions.values()))
    progress = progress_of_many([apprentice.pk], list(editions.values()))
    return [
        ModuleSoFar(
            version=versions[edition],
            progress=progress[apprentice.pk, edition],
            totals=_summed(row for row in rows if row["module_version__module"] == module),
            latest=next(row["latest"] for row in rows if row["module_version"] == edition),
        )
        for module, edition in editions.items()
    ]


def next_of(modules: list[ModuleSoFar]) -> ModuleSoFar | None:
    """The begun module whose target is nearest to being met, and is not yet."""
    unfinished = [module for module in modules if not module.progress.met]
    return max(unfinished, key=lambda module: module.progress.share, default=None)


def past_ceiling(sessions: SessionQuerySet) -> SessionQuerySet:
    """Sessions with a strand check that tells of a ceiling that was not kept."""
    events = StrandCheck.objects.exclude(past_ceiling="").values("session")
    return sessions.counted().filter(pk__in=events)


def by_day(sessions: Iterable[PracticeSession]) -> list[tuple[date, list[PracticeSession]]]:
    """Sessions in their order, under the day they began on."""
    days = groupby(sessions, key=lambda session: timezone.localdate(session.started_at))
    return [(day, list(rows)) for day, rows in days]


def _summed(rows: Iterable[Mapping[str, Any]]) -> Totals:
    found = list(rows)
    return Totals(sum(row["n"] for row in found), sum(row["minutes"] for row in found))


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
