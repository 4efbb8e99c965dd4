"""What a published edition asks an assessor to judge, fetched once for each process.

An edition is frozen when it is published, so what was read of it once stays true. A page at the
chair is asked for at every touch; this spares it three queries each time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from academy.craft.head.zones import Zone
from academy.curriculum.content import Scope
from academy.curriculum.models import Criterion, Fault, ModuleVersion

if TYPE_CHECKING:
    from collections.abc import Iterator


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
