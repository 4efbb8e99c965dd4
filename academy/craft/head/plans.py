"""A pattern worked out on one head, as data: sections, partings, foils, and shares of the hair."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.lines import length_mm
from academy.craft.head.sectioning import pattern_of
from academy.craft.head.shape import TRAINING_HEAD
from academy.craft.head.zones import ZONES, Zone, zones_of

if TYPE_CHECKING:
    from academy.craft.head.drawn import DrawnSection
    from academy.craft.head.settings import FoilSettings
    from academy.craft.head.shape import Floats, Head
    from academy.craft.head.zones import Hairline

COVERED_FROM = 0.10  # a pattern has a zone when it covers at least this share of it


@dataclass(frozen=True, eq=False)
class Parting:
    """One parting in all its runs."""

    section: str
    level: float  # of the section's field
    runs: tuple[Floats, ...]  # lines (n, 3) on the head, mm

    @cached_property
    def length_mm(self) -> float:
        """Length of all runs."""
        return sum(length_mm(run) for run in self.runs)


@dataclass(frozen=True, eq=False)
class Foil:
    """One foil; numbers run from 1 in the order in which foils are laid."""

    number: int
    section: str
    parting: int  # place in Plan.partings
    points: Floats  # (FOIL_POINTS, 3) along the parting, mm
    length_mm: float  # of the parting it covers
    stitches: int
    zone: Zone  # in which its middle lies

    @property
    def exposure_rank(self) -> int:
        """1 is closed first, so exposed longest when all foils are opened together."""
        return self.number


@dataclass(frozen=True, eq=False)
class PlannedSection:
    """One section as it came out."""

    name: str
    cm2: float
    outline: Floats  # closed border (n, 3), mm, first point not repeated
    partings: int
    foils: int


@dataclass(frozen=True, eq=False)
class Plan:
    """One pattern on one head. Plans are equal only when they are the same object."""

    pattern: str
    words: str
    zone: Zone | None
    settings: FoilSettings
    head: Head
    hairline: Hairline
    drawn: DrawnSection | None
    sections: tuple[PlannedSection, ...]
    partings: tuple[Parting, ...]  # in laying order
    foils: tuple[Foil, ...]

    @property
    def zones(self) -> tuple[Zone, ...]:
        """The zones that the pattern works in."""
        return pattern_zones(self.pattern, self.zone, self.drawn)

    @property
    def _scalp_cm2(self) -> float:
        return zones_of(self.head, self.hairline).scalp_cm2

    @property
    def area_cm2(self) -> float:
        """Hair sectioned off, cm2."""
        return sum(section.cm2 for section in self.sections)

    @property
    def sectioned_share(self) -> float:
        """Share of all hair that is sectioned off, 0..1."""
        return self.area_cm2 / self._scalp_cm2

    @property
    def woven_share(self) -> float:
        """Share of all hair that goes into foils with partings exactly one pitch apart, 0..1."""
        return self.sectioned_share * self.settings.woven_share

    @property
    def laid_share(self) -> float:
        """Share of all hair that goes into foils by the partings as laid, 0..1."""
        laid_cm2 = self.parting_mm * self.settings.depth_mm * self.settings.weave_share / 100
        return laid_cm2 / self._scalp_cm2

    def woven_cm2(self, foil: Foil) -> float:
        """Scalp from which the hair of one foil is taken, cm2."""
        return foil.length_mm * self.settings.depth_mm * self.settings.weave_share / 100

    def share_of_head(self, foil: Foil) -> float:
        """Share of all hair that goes into one foil, 0..1; over all foils the share laid."""
        return self.woven_cm2(foil) / self._scalp_cm2

    @cached_property
    def parting_mm(self) -> float:
        """Length of all partings."""
        return sum(parting.length_mm for parting in self.partings)

    @cached_property
    def stitches(self) -> int:
        """Stitches of all partings, a slice counted once; 0 where no foils are laid."""
        if not self.foils:
            return 0
        return sum(self.settings.stitches(parting.length_mm) for parting in self.partings)


@lru_cache(maxsize=64)
def pattern_zones(
    pattern: str, zone: Zone | None = None, drawn: DrawnSection | None = None
) -> tuple[Zone, ...]:
    """The zones of which a pattern covers at least a tenth, on the training head.

    For a drawn section also those in which at least a tenth of it lies, so that a small one has
    its zone.
    """
    zones = zones_of(TRAINING_HEAD)
    points = zones.cells.points
    sections = pattern_of(pattern, zone, drawn).sections(zones, zone, drawn)
    inside = np.maximum.reduce([section.border(points) for section in sections])
    covered = zones.covered(inside)
    if drawn is None:
        return tuple(z for z, share in covered.items() if share >= COVERED_FROM)
    cm2 = {z: share * zones.areas[z] for z, share in covered.items()}
    least = COVERED_FROM * sum(cm2.values())
    return tuple(z for z in ZONES if cm2[z] > 0 and (covered[z] >= COVERED_FROM or cm2[z] >= least))
