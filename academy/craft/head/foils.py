"""A pattern worked out on one head: sections, partings, and foils numbered in laying order."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.lines import along_mm, clipped, length_mm
from academy.craft.head.measuring import Measured, measured_sections
from academy.craft.head.sectioning import FoilSettings, pattern_of
from academy.craft.head.shape import TRAINING_HEAD, Floats, Head, HeadError
from academy.craft.head.zones import AVERAGE, ZONES, Hairline, Zone, Zones, zones_of

if TYPE_CHECKING:
    from academy.craft.head.drawn import DrawnSection

SHORTEST_PARTING_MM = 8.0  # nothing shorter is parted off
FOIL_MARGIN_MM = 3.0  # bare end of a parting on either side of a foil, for drawing
FOIL_POINTS = 13
COVERED_FROM = 0.10  # a pattern has a zone when it covers at least this share of it
SPACING_ERROR_MM = 1.0
SMALLEST_CM2 = 1.0  # a drawn section with less hair than this is a slip of the pen


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


def plan(
    pattern: str,
    settings: FoilSettings,
    *,
    zone: Zone | None = None,
    head: Head = TRAINING_HEAD,
    hairline: Hairline = AVERAGE,
    drawn: DrawnSection | None = None,
) -> Plan:
    """Work out a pattern named in PATTERNS; `zone` is for `one_panel`, `drawn` for `custom` only.

    Each section's mean width is divided by the spacing (depth + left) and rounded to whole
    partings; the remainder is shared between its two ends. HeadError for an unknown pattern, a
    zone or drawn section missing or not wanted, or where no parting comes out. Plans are kept, so
    asking again costs nothing.
    """
    return _plan(pattern, settings, zone, head, hairline, drawn)


@lru_cache(maxsize=128)
def _plan(
    pattern: str,
    settings: FoilSettings,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> Plan:
    chosen = pattern_of(pattern, zone, drawn)
    sections: list[PlannedSection] = []
    partings: list[Parting] = []
    foils: list[Foil] = []
    zones = zones_of(head, hairline)
    for measured in _measured(pattern, zone, head, hairline, drawn):
        laid = _partings(measured, settings.pitch_mm)
        first = len(foils)
        for index, parting in enumerate(laid, len(partings)):
            if chosen.foils:
                foils += _foils(parting, index, len(foils) + 1, settings, zones)
        partings += laid
        sections.append(
            PlannedSection(
                measured.section.name,
                measured.cm2,
                measured.outline,
                len(laid),
                len(foils) - first,
            )
        )
    _refuse_unlaid(chosen.words, settings, partings)
    return Plan(
        pattern,
        chosen.words,
        zone,
        settings,
        head,
        hairline,
        drawn,
        tuple(sections),
        tuple(partings),
        tuple(foils),
    )


def _measured(
    pattern: str,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> tuple[Measured, ...]:
    """The measured sections; HeadError for a drawn one that holds next to no hair."""
    measured = measured_sections(pattern, zone, head, hairline, drawn)
    if drawn is not None and sum(section.cm2 for section in measured) < SMALLEST_CM2:
        raise HeadError(
            "This pattern catches no hair. Draw it larger, or move it above the hairline, for "
            "example to azimuth 120 and elevation 40."
        )
    return measured


def _refuse_unlaid(words: str, settings: FoilSettings, partings: list[Parting]) -> None:
    if not partings:
        raise HeadError(
            f"No parting comes out in the pattern “{words}” at {settings.pitch_mm:g} mm from one "
            "to the next. Leave less hair between foils, or take a larger section."
        )
    longest = max(parting.length_mm for parting in partings)
    if settings.gap_mm and settings.stitch_mm > longest:
        raise HeadError(
            f"A stitch of {settings.stitch_mm:g} mm is wider than the longest parting of the "
            f"pattern “{words}”, {longest:.0f} mm. Weave finer, for example 2 mm."
        )


@lru_cache(maxsize=256)
def _foil_range(
    pattern: str,
    settings: FoilSettings,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> tuple[int, int]:
    if not pattern_of(pattern, zone, drawn).foils:
        return 0, 0
    counts = [
        sum(
            settings.foils(length_mm(run))
            for measured in _measured(pattern, zone, head, hairline, drawn)
            for parting in _partings(measured, settings.pitch_mm + error)
            for run in parting.runs
        )
        for error in (SPACING_ERROR_MM, 0.0, -SPACING_ERROR_MM)
    ]
    return min(counts), max(counts)


def foil_range(
    pattern: str,
    settings: FoilSettings,
    *,
    zone: Zone | None = None,
    head: Head = TRAINING_HEAD,
    hairline: Hairline = AVERAGE,
    drawn: DrawnSection | None = None,
) -> tuple[int, int]:
    """The fewest and the most foils to expect when the spacing is 1 mm wider or narrower."""
    return _foil_range(pattern, settings, zone, head, hairline, drawn)


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


def _partings(measured: Measured, pitch_mm: float) -> list[Parting]:
    """Partings one pitch apart, the remainder shared between both ends, in laying order."""
    section = measured.section
    width = float(measured.rise_mm[-1])
    count = round(width / pitch_mm)
    if count == 0:
        return []
    at = width / 2 + (np.arange(count) - (count - 1) / 2) * pitch_mm
    levels = np.interp(at, measured.rise_mm, measured.levels)
    lines = section.field.lines(levels)
    found = []
    for level, line, keep in zip(levels.tolist(), lines, section.border(lines), strict=True):
        runs = tuple(run for run in clipped(line, keep) if length_mm(run) > SHORTEST_PARTING_MM)
        if runs:
            found.append(Parting(section.name, level, runs))
    return found[::-1] if section.from_high else found


def _foils(
    parting: Parting, index: int, first: int, settings: FoilSettings, zones: Zones
) -> list[Foil]:
    """Foils side by side along a parting; their stitches add up to the parting's."""
    foils: list[Foil] = []
    before = 0.0
    for run in parting.runs:
        along = along_mm(run)
        total = float(along[-1])
        bounds = np.linspace(0, total, settings.foils(total) + 1).tolist()
        for low, high in pairwise(bounds):
            margin = min(FOIL_MARGIN_MM, (high - low) / 5)
            at = np.linspace(low + margin, high - margin, FOIL_POINTS)
            points = np.stack([np.interp(at, along, run[:, axis]) for axis in range(3)], 1)
            foils.append(
                Foil(
                    first + len(foils),
                    parting.section,
                    index,
                    points,
                    high - low,
                    _stitches(before + low, before + high, settings),
                    ZONES[int(zones.nearest_codes(points[FOIL_POINTS // 2]))],
                )
            )
        before += total
    return foils


def _stitches(low_mm: float, high_mm: float, settings: FoilSettings) -> int:
    """Stitches between two places along a parting."""
    if settings.gap_mm == 0:
        return 1
    return settings.stitches(high_mm) - settings.stitches(low_mm)
