"""What a published edition asks an assessor to judge, fetched once for each process.

An edition is frozen when it is published, so what was read of it once stays true. A page at the
chair is asked for at every touch; this spares it three queries each time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from academy.craft.head.zones import Zone
from academy.curriculum.content import Scope
from academy.curriculum.models import Criterion, Fault, ModuleVersion

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.assessment.models import Assessment


@dataclass(frozen=True)
class Edition:
    """Criteria and faults in their order, and the zones judged, in the order of the head sheet."""

    criteria: tuple[Criterion, ...]
    faults: tuple[Fault, ...]
    judged: tuple[Zone, ...]
    has_sheets: bool

    def of_scope(self, scope: Scope) -> Iterator[Criterion]:
        return (criterion for criterion in self.criteria if criterion.scope == scope.value)

    @property
    def zones(self) -> tuple[Zone, ...]:
        """The zones that need levels: none where every criterion is for the whole head."""
        return self.judged if any(self.of_scope(Scope.ZONES)) else ()


def edition_for(assessment: Assessment) -> Edition:
    """What this head is judged by: for a partial re-assessment only the criteria in its scope.

    Select `reassessment` and `second_of__reassessment`: a second mark has the scope of its first.
    """
    edition, scope = edition_of(assessment.module_version), scope_of(assessment)
    if not scope:
        return edition
    return replace(edition, criteria=tuple(one for one in edition.criteria if one.code in scope))


def scope_of(assessment: Assessment) -> tuple[str, ...]:
    """The codes of a partial re-assessment; empty for a head that is judged whole."""
    row = getattr(assessment.second_of or assessment, "reassessment", None)
    return tuple(row.criteria) if row is not None else ()


def edition_of(version: ModuleVersion) -> Edition:
    """No query for an edition that was asked for before; three for a new one."""
    if version.state == ModuleVersion.State.DRAFT:
        return _read(version)
    return _known(version.token, version.pk)


@lru_cache(maxsize=256)
def _known(_token: str, pk: int) -> Edition:
    return _read(ModuleVersion.objects.get(pk=pk))


def _read(version: ModuleVersion) -> Edition:
    judged = set(version.judged_zones)
    return Edition(
        criteria=tuple(version.criteria.all()),
        faults=tuple(version.faults.all()),
        judged=tuple(zone for zone in Zone if zone.value in judged),
        has_sheets=version.sheets.exists(),
    )
