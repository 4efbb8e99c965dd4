"""How foils are set, and the patterns: which sections of the head, parted in which direction.

A new pattern is one entry in PATTERNS. Sizes without a source are declared here (common practice,
no source) and named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from academy.craft.head.fields import EarToEar, Field, Horizontal
from academy.craft.head.shape import Floats, HeadError, azimuth_elevation
from academy.craft.head.zones import Zone, Zones

DEPTH_MM = (3.0, 12.0)
LEFT_MM = (0.0, 30.0)
STITCH_MM = (1.0, 15.0)
GAP_MM = (1.0, 15.0)
FOIL_MM = (40.0, 300.0)

FOIL_OVERLAP = 0.15  # a parting may be this share of a foil longer than its foils
T_STRIP_MM = 70.0
T_BAND_MM = 30.0
FACE_BAND_MM = 25.0
DIAMOND_FRONT_MM = 20.0  # its front corner, behind the hairline

_TABLE_STEP_DEG = 1.5
_TABLE_END_DEG = 102.0
_TABLE_LOW_DEG = -60.0
_FAR_MM = 999.0
_NO_ZONE = "One panel needs a zone. Choose the zone it lies in, for example the crown."


def _refuse_outside(name: str, value: float, limits: tuple[float, float], example: str) -> None:
    low, high = limits
    if not low <= value <= high:
        raise HeadError(
            f"{name} is {value:g} mm. Give {low:g} to {high:g} mm, for example {example}."
        )


@dataclass(frozen=True)
class FoilSettings:
    """How foils are set, in mm; gap 0 makes slices, left 0 sets foil on foil. Raises HeadError."""

    depth_mm: float = 6.0
    left_mm: float = 6.0
    stitch_mm: float = 4.0
    gap_mm: float = 4.0
    foil_mm: float = 100.0

    def __post_init__(self) -> None:
        """Refuse what no hand can lay."""
        _refuse_outside("The section in a foil", self.depth_mm, DEPTH_MM, "5 mm")
        _refuse_outside("The hair left between foils", self.left_mm, LEFT_MM, "8 mm")
        _refuse_outside("The stitch", self.stitch_mm, STITCH_MM, "3 mm")
        if self.gap_mm != 0:
            _refuse_outside("The gap between stitches (0 for slices)", self.gap_mm, GAP_MM, "3 mm")
        _refuse_outside("The foil's width", self.foil_mm, FOIL_MM, "120 mm")

    @property
    def pitch_mm(self) -> float:
        """From one parting to the next."""
        return self.depth_mm + self.left_mm

    @property
    def weave_share(self) -> float:
        """Share of one subsection that is woven out, 0..1; a slice takes all of it."""
        return 1.0 if self.gap_mm == 0 else self.stitch_mm / (self.stitch_mm + self.gap_mm)

    @property
    def woven_share(self) -> float:
        """Share of the hair in a section that goes into foils, 0..1."""
        return self.depth_mm / self.pitch_mm * self.weave_share

    def stitches(self, length_mm: float) -> int:
        """Whole stitches that fit on a parting of this length; a slice is one."""
        if self.gap_mm == 0:
            return 1
        return int((length_mm + self.gap_mm) // (self.stitch_mm + self.gap_mm))

    def foils(self, length_mm: float) -> int:
        """Foils side by side on a run of a parting, at least one."""
        return max(1, math.ceil(length_mm / self.foil_mm - FOIL_OVERLAP))


Border: TypeAlias = Callable[[Floats], Floats]  # mm inside for points (..., 3), negative outside


@dataclass(frozen=True)
class Section:
    """A part of the head parted in one direction.

    Partings are taken by rising level of the field, or by falling level with `from_high`.
    """

    name: str
    field: Field
    border: Border
    from_high: bool = False


SectionsOf: TypeAlias = Callable[[Zones, Zone | None], tuple[Section, ...]]


@dataclass(frozen=True)
class Pattern:
    """A plan of sections.

    `foils` is False where only the section lines matter; `own_borders` is False where sections
    end where zones end, so that their borders need no drawing.
    """

    key: str
    words: str
    sections: SectionsOf
    foils: bool = True
    needs_zone: bool = False
    own_borders: bool = True


def pattern_of(key: str, zone: Zone | None) -> Pattern:
    """The pattern of this key; HeadError for an unknown key, or a zone missing or not wanted."""
    pattern = PATTERNS.get(key)
    if pattern is None:
        raise HeadError(f"There is no pattern “{key}”. Choose one of {', '.join(PATTERNS)}.")
    if pattern.needs_zone and zone is None:
        raise HeadError(_NO_ZONE)
    if not pattern.needs_zone and zone is not None:
        raise HeadError(f"The pattern “{pattern.words}” has its own zones. Leave the zone out.")
    return pattern


def _all(*borders: Border) -> Border:
    return lambda p: np.minimum.reduce([border(p) for border in borders])


def _not(border: Border) -> Border:
    return lambda p: -border(p)


def _left(p: Floats) -> Floats:
    return np.asarray(p[..., 0])


_right = _not(_left)


def _crown(zones: Zones) -> Section:
    """From the back up to the ear line."""
    border = _all(zones.above_ridge, _not(zones.front), zones.hair)
    return Section("crown", EarToEar(zones.head), border, from_high=True)


def _top(zones: Zones) -> Section:
    """From the ear line to the front hairline."""
    border = _all(zones.above_ridge, zones.front, zones.hair)
    return Section("top", EarToEar(zones.head), border, from_high=True)


def _full_head(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """Four quarters by the midline and the ear line; back first, each from the bottom up."""
    before, behind = Horizontal(zones.head), Horizontal(zones.head, behind=True)
    back = _not(zones.front)
    return (
        Section("back left", behind, _all(back, _left, zones.hair)),
        Section("back right", behind, _all(back, _right, zones.hair)),
        Section("front left", before, _all(zones.front, _left, zones.hair)),
        Section("front right", before, _all(zones.front, _right, zones.hair)),
    )


def _half_head(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """Crown from the back up, both sides from the bottom up, the top from the ear line forward."""
    level, below = Horizontal(zones.head), _not(zones.above_ridge)
    side = _all(below, zones.front, zones.hair)
    return (
        _crown(zones),
        Section("left side", level, _all(side, _left)),
        Section("right side", level, _all(side, _right)),
        _top(zones),
    )


def _horseshoe(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """All hair above the parietal ridge, from the back of the crown to the front hairline."""
    return (_crown(zones), _top(zones))


def _t_section(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """A strip along the midline from the crown forward, then a band behind the front hairline."""
    band = _front_band(zones, T_BAND_MM)

    def strip(p: Floats) -> Floats:
        return np.asarray(T_STRIP_MM / 2 - np.abs(p[..., 0]))

    middle = _all(zones.above_ridge, strip, _not(band), zones.hair)
    return (
        Section("strip", EarToEar(zones.head), middle, from_high=True),
        *_both_sides(zones, band, "hairline"),
    )


def _face_frame(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """A band behind the front hairline in short level partings, each side from the bottom up."""
    return _both_sides(zones, _front_band(zones, FACE_BAND_MM), "face")


def _both_sides(zones: Zones, band: Border, name: str) -> tuple[Section, ...]:
    level = Horizontal(zones.head)
    return (
        Section(f"{name} left", level, _all(band, zones.front, _left, zones.hair)),
        Section(f"{name} right", level, _all(band, zones.front, _right, zones.hair)),
    )


def _diamond(zones: Zones, _: Zone | None) -> tuple[Section, ...]:
    """A rhombus on top, from its back corner forward."""
    return (Section("diamond", EarToEar(zones.head), _diamond_border(zones), from_high=True),)


def _one_panel(zones: Zones, zone: Zone | None) -> tuple[Section, ...]:
    """One whole zone: level partings from the bottom up, above the ridge ear to ear."""
    if zone is None:
        raise HeadError(_NO_ZONE)

    def border(p: Floats) -> Floats:
        return zones.inside(zone, p)

    upper = zone in (Zone.FRINGE, Zone.TOP, Zone.CROWN)
    back = zone in (Zone.OCCIPITAL, Zone.NAPE)
    field: Field = EarToEar(zones.head) if upper else Horizontal(zones.head, behind=back)
    return (Section(zone.words, field, border, from_high=upper),)


PATTERNS: Mapping[str, Pattern] = MappingProxyType(
    {
        pattern.key: pattern
        for pattern in (
            Pattern("quarters", "quarters", _full_head, foils=False),
            Pattern("full_head", "full head", _full_head),
            Pattern("half_head", "half head", _half_head, own_borders=False),
            Pattern("t_section", "T-section", _t_section),
            Pattern("diamond", "diamond", _diamond),
            Pattern("horseshoe", "horseshoe", _horseshoe, own_borders=False),
            Pattern("face_frame", "face frame", _face_frame),
            Pattern("one_panel", "one panel", _one_panel, needs_zone=True, own_borders=False),
        )
    }
)


def _front_band(zones: Zones, width_mm: float) -> Border:
    return lambda p: width_mm - _front_distance(zones, p)


def _front_distance(zones: Zones, p: Floats) -> Floats:
    """Straight distance in mm to the hairline between the sideburns; far behind the ears."""
    azimuth, elevation = azimuth_elevation(p)
    table = _front_distances(zones)
    x = np.minimum(np.abs(azimuth) / _TABLE_STEP_DEG, len(table) - 1.001)
    y = np.clip((elevation - _TABLE_LOW_DEG) / _TABLE_STEP_DEG, 0, table.shape[1] - 1.001)
    i, j = x.astype(int), y.astype(int)
    s, t = x - i, y - j
    low = (1 - s) * table[i, j] + s * table[i + 1, j]
    high = (1 - s) * table[i, j + 1] + s * table[i + 1, j + 1]
    return np.where(np.abs(azimuth) > _TABLE_END_DEG, _FAR_MM, (1 - t) * low + t * high)


@lru_cache(maxsize=16)
def _front_distances(zones: Zones) -> Floats:
    """Distances on a grid of the left side: rows by azimuth from 0, columns by elevation."""
    azimuth = np.arange(0.0, _TABLE_END_DEG + 0.1, _TABLE_STEP_DEG)[:, None]
    elevation = np.arange(_TABLE_LOW_DEG, 90.1, _TABLE_STEP_DEG)
    p = zones.head.surface(azimuth, elevation)[..., None, :]
    edge = zones.hairline.curve(zones.head, np.linspace(0.0, 84.0, 85))
    return np.asarray(np.sqrt(((p - edge) ** 2).sum(-1).min(-1)))


def _diamond_border(zones: Zones) -> Border:
    """Corners behind the front hairline, on both ridges, and at the back of the crown."""
    head = zones.head
    hairline_y = float(zones.hairline.curve(head, 0.0)[1])
    front = hairline_y - DIAMOND_FRONT_MM - head.tragion_y
    back = -0.62 * head.half_length - head.tragion_y
    half_width = 0.62 * head.half_breadth

    def border(p: Floats) -> Floats:
        y = p[..., 1] - head.tragion_y
        reach = np.abs(p[..., 0]) / half_width + np.where(y > 0, y / front, y / back)
        return np.asarray((1 - reach) * half_width)

    return _all(border, zones.above_ridge, zones.hair)
