"""A cohort's matrix: where every apprentice stands in every module, and where marks are lost."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from django.utils import timezone

from academy.assessment.models import Assessment, FaultMark, Mark
from academy.assessment.queries import Place, places
from academy.assessment.results import Standing
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import MET
from academy.curriculum.content import Scope
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.reference import practice_faults
from academy.people.models import Cohort, Person

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from academy.people.models import Academy

LOOK_BACK_DAYS = 365
FEW_HEADS = 3


@dataclass(frozen=True)
class Column:
    module: Module
    title: str
    competent: int


@dataclass(frozen=True)
class Row:
    person: Person
    modules: tuple[Module, ...]
    cells: tuple[Place, ...]

    @property
    def pairs(self) -> list[tuple[Module, Place]]:
        """Each module with where the person stands in it."""
        return list(zip(self.modules, self.cells, strict=True))


@dataclass(frozen=True)
class Matrix:
    """Apprentices by modules; `rows[i].cells[j]` belongs to `columns[j]`."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    @property
    def states(self) -> list[str]:
        """The states that occur, in the order of a module's life, for the legend."""
        found = {cell.standing for row in self.rows for cell in row.cells}
        return [standing.value for standing in Standing if standing in found]


def members(cohort: Cohort) -> list[Person]:
    """The cohort's apprentices today; for an ended cohort, those who were there to the end."""
    today = timezone.localdate()
    day = min(today, cohort.ends_on) if cohort.ends_on else today
    found = Person.objects.filter(cohort_places__in=cohort.places.current(day))
    return list(found.order_by("name").distinct())


def matrix(academy: Academy, people: list[Person]) -> Matrix:
    """Where everybody stands, in a fixed number of queries."""
    versions = list(
        ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
        .select_related("module")
        .order_by("module__position", "module__key")
    )
    found = places(academy, [person.pk for person in people])
    modules = tuple(version.module for version in versions)
    rows = tuple(
        Row(person, modules, tuple(found[person.pk, module.pk] for module in modules))
        for person in people
    )
    columns = tuple(
        Column(
            version.module,
            version.title,
            sum(row.cells[index].standing in _DONE for row in rows),
        )
        for index, version in enumerate(versions)
    )
    return Matrix(columns, rows)


_DONE = (Standing.COMPETENT, Standing.VERIFY)


@dataclass(frozen=True)
class ZoneLoss:
    """What one zone cost: share of available marks lost, on how many heads, and where.

    `people` are the tokens of the apprentices with a level under 3 there.
    """

    zone: Zone
    share: float
    heads: int
    criterion: str
    fault: str
    cause: str
    people: tuple[str, ...] = ()

    @property
    def task_query(self) -> str:
        """What fills in the form of a task for these apprentices, behind the module."""
        pairs = [("zone", self.zone.value), *(("apprentice", token) for token in self.people)]
        return urlencode(pairs)


@dataclass(frozen=True)
class Losses:
    """Where a group loses marks in one module; empty `zones` with too few heads."""

    module: Module
    title: str
    heads: int
    zones: tuple[ZoneLoss, ...]

    @property
    def few(self) -> bool:
        return self.heads < FEW_HEADS


def assessed_modules(academy: Academy, people: list[Person]) -> list[tuple[Module, str, int]]:
    """Modules judged by zone, with how many heads of these people; most heads first."""
    since = timezone.now() - timedelta(days=LOOK_BACK_DAYS)
    counts: Counter[int] = Counter(
        Assessment.objects.filter(
            academy=academy,
            apprentice__in=people,
            submitted_at__gte=since,
        )
        .decided()
        .exclude(module_version__judged_zones=[])
        .order_by()
        .values_list("module_version__module", flat=True)
    )
    published = ModuleVersion.objects.filter(
        academy=academy, state=ModuleVersion.State.PUBLISHED, module__in=counts
    ).select_related("module")
    rows = [(version.module, version.title, counts[version.module_id]) for version in published]
    return sorted(rows, key=lambda row: (-row[2], row[1]))


def losses(academy: Academy, people: list[Person], module: Module, title: str) -> Losses:
    """Share of marks lost by zone over the last year's heads: weights count, levels 4 is full."""
    since = timezone.now() - timedelta(days=LOOK_BACK_DAYS)
    heads = Assessment.objects.filter(
        academy=academy,
        apprentice__in=people,
        module_version__module=module,
        submitted_at__gte=since,
    ).decided()
    lost: dict[str, float] = defaultdict(float)
    most: dict[str, float] = defaultdict(float)
    seen: dict[str, set[int]] = defaultdict(set)
    by_criterion: dict[str, Counter[str]] = defaultdict(Counter)
    marks = Mark.objects.filter(assessment__in=heads, criterion__scope=Scope.ZONES.value)
    under: dict[str, set[str]] = defaultdict(set)
    fields = (
        "assessment",
        "zone",
        "level",
        "criterion__weight",
        "criterion__title",
        "assessment__apprentice__token",
    )
    for assessment, zone, level, weight, criterion, token in marks.values_list(*fields):
        if level < MET:
            under[zone].add(token)
        lost[zone] += weight * (4 - level)
        most[zone] += weight * 4
        seen[zone].add(assessment)
        by_criterion[zone][criterion] += weight * (4 - level)
    faults = _faults(heads)
    zones = tuple(
        ZoneLoss(
            zone=zone,
            share=lost[zone.value] / most[zone.value],
            heads=len(seen[zone.value]),
            criterion=_worst(by_criterion[zone.value]),
            fault=faults.get(zone.value, ("", ""))[0],
            cause=faults.get(zone.value, ("", ""))[1],
            people=tuple(sorted(under[zone.value])),
        )
        for zone in Zone
        if most.get(zone.value)
    )
    count = heads.count()
    return Losses(
        module, title, count, tuple(sorted(zones, key=lambda z: -z.share)) if count else ()
    )


def _worst(counter: Counter[str]) -> str:
    title, points = counter.most_common(1)[0]
    return title if points else ""


def _faults(heads: QuerySet[Assessment]) -> dict[str, tuple[str, str]]:
    """The commonest fault mark in each zone with its likely cause."""
    words = {fault.id: fault.word for fault in practice_faults()}
    counts: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    rows = FaultMark.objects.filter(assessment__in=heads).values_list(
        "zone", "fault__fault", "fault__cause", "common"
    )
    for zone, fault, cause, common in rows:
        counts[zone][fault or words.get(common, common), cause or ""] += 1
    return {zone: counter.most_common(1)[0][0] for zone, counter in counts.items()}
