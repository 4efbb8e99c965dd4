"""Practice progress for one apprentice or many, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from django.db.models import Q, Sum

from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit, TargetLine
from academy.curriculum.models import ModuleVersion, TargetLine as TargetLineRow
from academy.practice.models import PracticeSession, UnitsDone
from academy.practice.targets import Done, Progress, progress
from academy.practice.words import counted_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.curriculum.models import Module, ModuleVersionQuerySet
    from academy.people.models import Academy, Person

# A session counts unless it was taken back, or its supervisor says that it did not take place.
COUNTS = Q(taken_back_at__isnull=True) & ~Q(confirmation__confirmed=False)
_UNIT_COUNTS = Q(session__taken_back_at__isnull=True) & ~Q(session__confirmation__confirmed=False)


def progress_of(apprentice: Person, version: ModuleVersion) -> Progress:
    """One apprentice's progress towards one version's target. Two queries."""
    key = (apprentice.pk, version.pk)
    return progress_of_many([apprentice.pk], [version.pk]).get(key, Progress(()))


def progress_of_many(
    apprentices: Iterable[int], versions: Iterable[int]
) -> dict[tuple[int, int], Progress]:
    """Progress by (apprentice id, version id), for every pair asked for. Two queries."""
    people, editions = list(apprentices), list(versions)
    targets: dict[int, list[TargetLine]] = defaultdict(list)
    for row in TargetLineRow.objects.filter(version__in=editions).order_by("position"):
        targets[row.version_id].append(TargetLine(row.count, PracticeUnit(row.unit), row.tag))
    done: dict[tuple[int, int], list[Done]] = defaultdict(list)
    rows = (
        UnitsDone.objects.filter(
            _UNIT_COUNTS, session__apprentice__in=people, session__module_version__in=editions
        )
        .values_list("session__apprentice", "session__module_version", "unit", "tag")
        .annotate(total=Sum("count"))
        .order_by()
    )
    for person, version, unit, tag, total in rows:
        done[person, version].append(Done(PracticeUnit(unit), total, tag))
    return {
        (person, version): progress(targets[version], done[person, version])
        for person in people
        for version in editions
    }


def practisable(academy: Academy) -> ModuleVersionQuerySet:
    """The published editions in the order of the list, with their targets. Two queries."""
    published = ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
    return (
        published.select_related("module")
        .prefetch_related("targets")
        .order_by("module__position", "module__key")
    )


def target_words(version: ModuleVersion) -> str:
    """The practice target in words. No query for a version fetched with its targets."""
    lines = version.targets.all()
    return "; ".join(counted_words(line.count, line.unit, line.tag) for line in lines)


def zones_practised(apprentice: Person, module: Module) -> tuple[dict[Zone, int], int]:
    """In how many counted sessions each zone was worked on, and how many name zones. One query."""
    sessions = PracticeSession.objects.filter(
        COUNTS, apprentice=apprentice, module_version__module=module
    ).exclude(zones=[])
    named = [set(zones) for zones in sessions.values_list("zones", flat=True)]
    counts = {zone: sum(zone.value in zones for zones in named) for zone in Zone}
    return {zone: count for zone, count in counts.items() if count}, len(named)


def has_begun(apprentice: Person, version: ModuleVersion) -> bool:
    """Whether a counted session of the apprentice stands on this edition. One query."""
    own = PracticeSession.objects.filter(COUNTS, apprentice=apprentice, module_version=version)
    return own.exists()


def version_begun(apprentice: Person, module: Module) -> ModuleVersion | None:
    """The edition an apprentice began: of their latest counted session, else the published one.

    An apprentice stays on the edition begun until sign-off, also when a newer one is published.
    """
    begun = (
        PracticeSession.objects.filter(COUNTS, apprentice=apprentice, module_version__module=module)
        .select_related("module_version")
        .order_by("-started_at")
        .first()
    )
    if begun is not None:
        return begun.module_version
    return module.versions.filter(state=ModuleVersion.State.PUBLISHED).first()
