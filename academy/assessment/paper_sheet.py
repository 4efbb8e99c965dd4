"""What stands on the blank head sheet of an edition: its heads, criteria and boxes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.assessment.editions import edition_of
from academy.craft.head.svg import Drawing
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import Rating
from academy.curriculum.content import Scope
from academy.curriculum.reference import stop_events
from academy.web.heads import head_views

if TYPE_CHECKING:
    from academy.assessment.editions import Edition
    from academy.curriculum.models import Criterion, ModuleVersion
    from academy.web.heads import HeadView

LEVELS = range(5)


@dataclass(frozen=True)
class PaperSheet:
    """A published edition, ready to be marked by hand."""

    version: ModuleVersion

    @cached_property
    def edition(self) -> Edition:
        return edition_of(self.version)

    @property
    def levels(self) -> list[int]:
        return list(LEVELS)

    @property
    def zones(self) -> tuple[Zone, ...]:
        return self.edition.zones

    @property
    def zone_criteria(self) -> list[Criterion]:
        return list(self.edition.of_scope(Scope.ZONES))

    @property
    def head_criteria(self) -> list[Criterion]:
        return list(self.edition.of_scope(Scope.HEAD))

    @property
    def ratings(self) -> list[tuple[int, str]]:
        return [(rating.value, rating.word) for rating in Rating]

    @property
    def stops(self) -> list[str]:
        """What ends the head at once, in a few words each."""
        return [event.text for event in stop_events()]

    @property
    def views(self) -> tuple[HeadView, ...]:
        """Five outlined heads with the zones named; those that are not judged are left white."""
        judged = self.edition.judged
        if not judged and not self.edition.has_sheets:
            return ()
        off = {zone: "off" for zone in Zone if judged and zone not in judged}
        return head_views(Drawing(states=off))
