"""The criteria of the scoring page, walked zone by zone or criterion by criterion."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.assessment.score_rows import CriterionRow
from academy.craft.head.zones import Zone
from academy.curriculum.content import Scope

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.assessment.editions import Edition
    from academy.assessment.in_hand import InHand
    from academy.curriculum.models import Criterion


@dataclass(frozen=True)
class Walk:
    """All rows of criteria, those in sight and the one in hand.

    `levels` by criterion and zone, `left_out` the reason by zone, `gap` the place ("A2-crown")
    that is taken in hand where the address names none in sight.
    """

    edition: Edition
    levels: Mapping[tuple[int, str], int]
    left_out: Mapping[str, str]
    hand: InHand
    gap: str

    @cached_property
    def zone_rows(self) -> list[CriterionRow]:
        """Every criterion in every zone, criterion by criterion."""
        return [
            self._row(criterion, zone.value)
            for criterion in self.edition.of_scope(Scope.ZONES)
            for zone in self.edition.zones
        ]

    @cached_property
    def head_rows(self) -> list[CriterionRow]:
        return [self._row(criterion, "") for criterion in self.edition.of_scope(Scope.HEAD)]

    @property
    def title(self) -> str:
        """What the rows in sight have in common: the zone, or the criterion."""
        if not self.hand.by:
            return Zone(self.hand.zone).words.capitalize()
        titles = {criterion.code: criterion.title for criterion in self.edition.criteria}
        return titles[self.code]

    @cached_property
    def _codes(self) -> list[str]:
        return [criterion.code for criterion in self.edition.of_scope(Scope.ZONES)]

    @cached_property
    def _place(self) -> str:
        """The row in hand: as the address has it, else the next gap."""
        code, _, zone = self.hand.row.rpartition("-")
        whole = code in {criterion.code for criterion in self.edition.of_scope(Scope.HEAD)}
        zones = (
            {judged.value for judged in self.edition.zones} if self.hand.by else {self.hand.zone}
        )
        known = (code in self._codes and zone in zones) or (whole and not zone)
        return self.hand.row if known else self.gap

    @cached_property
    def code(self) -> str:
        """The criterion that is walked over all zones."""
        code = (self._place or self.hand.row).rpartition("-")[0]
        return code if code in self._codes else self._codes[0]

    def _row(self, criterion: Criterion, zone: str) -> CriterionRow:
        here = zone and (criterion.code == self.code if self.hand.by else zone == self.hand.zone)
        return CriterionRow(
            criterion=criterion,
            zone=zone,
            chosen=self.levels.get((criterion.pk, zone)),
            shown=bool(here) or not zone,
            in_hand=f"{criterion.code}-{zone}" == self._place,
            left_out=self.left_out.get(zone, ""),
        )
