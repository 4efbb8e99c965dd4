"""How foils are set, and the patterns: which sections of the head, parted in which direction.

A new pattern is one entry in PATTERNS. Sizes without a source are declared here (common practice,
no source) and named.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from academy.craft.head.borders import (
    DIAMOND_FRONT_MM,
    Border,
    diamond_border,
    every,
    front_band,
    left,
    outside,
    right,
)
from academy.craft.head.drawn import DrawnSection
from academy.craft.head.drawn_laying import drawn_field
from academy.craft.head.fields import EarToEar, Field, Horizontal
from academy.craft.head.settings import (
    DEPTH_MM,
    FOIL_MM,
    GAP_MM,
    LEFT_MM,
    STITCH_MM,
    FoilSettings,
)
from academy.craft.head.shape import Floats, HeadError
from academy.craft.head.zones import Zone, Zones

__all__ = [
    "DEPTH_MM",
    "DIAMOND_FRONT_MM",
    "FACE_BAND_MM",
    "FOIL_MM",
    "GAP_MM",
    "LEFT_MM",
    "PATTERNS",
    "STITCH_MM",
    "T_BAND_MM",
    "T_STRIP_MM",
    "Border",
    "FoilSettings",
    "Pattern",
    "Section",
    "pattern_of",
]

T_STRIP_MM = 70.0
T_BAND_MM = 30.0
FACE_BAND_MM = 25.0

_NOT_DRAWN = "Your own pattern needs a section. Draw its corners on the head, at least three."
_NO_ZONE = "One panel needs a zone. Choose the zone it lies in, for example the crown."


@dataclass(frozen=True)
class Section:
    """A part of the head parted in one direction.

    Partings are taken by rising level of the field, or by falling level with `from_high`.
    Sections with the same `through` lie one behind the other on one field: they are parted
    through as one, so that partings keep their distance where the sections meet.
    """

    name: str
    field: Field
    border: Border
    from_high: bool = False
    through: str = ""


SectionsOf: TypeAlias = Callable[[Zones, Zone | None, DrawnSection | None], tuple[Section, ...]]


@dataclass(frozen=True)
class Pattern:
    """A plan of sections.

    `foils` is False where only the section lines matter; `own_borders` is False where sections
    end where zones end, so that their borders need no drawing. `lay` gives the sections.
    """

    key: str
    words: str
    lay: SectionsOf
    foils: bool = True
    needs_zone: bool = False
    needs_drawn: bool = False
    own_borders: bool = True

    def sections(
        self, zones: Zones, zone: Zone | None = None, drawn: DrawnSection | None = None
    ) -> tuple[Section, ...]:
        """The sections on one head in laying order; HeadError for a part missing."""
        return self.lay(zones, zone, drawn)


def pattern_of(key: str, zone: Zone | None = None, drawn: DrawnSection | None = None) -> Pattern:
    """The pattern of this key; HeadError for an unknown key, or a part missing or not wanted."""
    pattern = PATTERNS.get(key)
    if pattern is None:
        raise HeadError(f"There is no pattern “{key}”. Choose one of {', '.join(PATTERNS)}.")
    if pattern.needs_zone and zone is None:
        raise HeadError(_NO_ZONE)
    if not pattern.needs_zone and zone is not None:
        raise HeadError(f"The pattern “{pattern.words}” has its own zones. Leave the zone out.")
    if pattern.needs_drawn and drawn is None:
        raise HeadError(_NOT_DRAWN)
    if not pattern.needs_drawn and drawn is not None:
        raise HeadError(
            f"The pattern “{pattern.words}” has its own sections. Leave the drawn section out."
        )
    return pattern


def _crown(zones: Zones) -> Section:
    """From the back up to the ear line."""
    border = every(zones.above_ridge, outside(zones.front), zones.hair)
    return Section("crown", EarToEar(zones.head), border, from_high=True, through="ridge")


def _top(zones: Zones) -> Section:
    """From the ear line to the front hairline."""
    border = every(zones.above_ridge, zones.front, zones.hair)
    return Section("top", EarToEar(zones.head), border, from_high=True, through="ridge")


def _full_head(zones: Zones, *_: object) -> tuple[Section, ...]:
    """Four quarters by the midline and the ear line; back first, each from the bottom up."""
    on_left, on_right = Horizontal.left(zones.head), Horizontal.right(zones.head)
    back = outside(zones.front)
    return (
        Section("back left", on_left, every(back, left, zones.hair)),
        Section("back right", on_right, every(back, right, zones.hair)),
        Section("front left", on_left, every(zones.front, left, zones.hair)),
        Section("front right", on_right, every(zones.front, right, zones.hair)),
    )


def _half_head(zones: Zones, *_: object) -> tuple[Section, ...]:
    """Crown from the back up, both sides from the bottom up, the top from the ear line forward."""
    side = every(outside(zones.above_ridge), zones.front, zones.hair)
    return (
        _crown(zones),
        Section("left side", Horizontal.left(zones.head), every(side, left)),
        Section("right side", Horizontal.right(zones.head), every(side, right)),
        _top(zones),
    )


def _horseshoe(zones: Zones, *_: object) -> tuple[Section, ...]:
    """All hair above the parietal ridge, from the back of the crown to the front hairline."""
    return (_crown(zones), _top(zones))


def _t_section(zones: Zones, *_: object) -> tuple[Section, ...]:
    """A strip along the midline from the crown forward, then a band behind the front hairline."""
    band = front_band(zones, T_BAND_MM)

    def strip(p: Floats) -> Floats:
        return np.asarray(T_STRIP_MM / 2 - np.abs(p[..., 0]))

    middle = every(zones.above_ridge, strip, outside(band), zones.hair)
    return (
        Section("strip", EarToEar(zones.head), middle, from_high=True),
        *_both_sides(zones, band, "hairline"),
    )


def _face_frame(zones: Zones, *_: object) -> tuple[Section, ...]:
    """A band behind the front hairline in short level partings, each side from the bottom up."""
    return _both_sides(zones, front_band(zones, FACE_BAND_MM), "face")


def _both_sides(zones: Zones, band: Border, name: str) -> tuple[Section, ...]:
    front = every(band, zones.front, zones.hair)
    return (
        Section(f"{name} left", Horizontal.left(zones.head), every(front, left)),
        Section(f"{name} right", Horizontal.right(zones.head), every(front, right)),
    )


def _diamond(zones: Zones, *_: object) -> tuple[Section, ...]:
    """A rhombus on top, from its back corner forward."""
    return (Section("diamond", EarToEar(zones.head), diamond_border(zones), from_high=True),)


def _one_panel(zones: Zones, zone: Zone | None, *_: object) -> tuple[Section, ...]:
    """One whole zone: level partings from the bottom up, above the ridge ear to ear."""
    if zone is None:
        raise HeadError(_NO_ZONE)

    def border(p: Floats) -> Floats:
        return zones.inside(zone, p)

    upper = zone in (Zone.FRINGE, Zone.TOP, Zone.CROWN)
    field: Field = EarToEar(zones.head)
    if zone in (Zone.OCCIPITAL, Zone.NAPE):
        field = Horizontal.behind(zones.head)
    elif not upper:
        on_left = zone is Zone.SIDE_LEFT
        field = Horizontal.left(zones.head) if on_left else Horizontal.right(zones.head)
    return (Section(zone.words, field, border, from_high=upper),)


def _own(zones: Zones, _: Zone | None, drawn: DrawnSection | None) -> tuple[Section, ...]:
    """One section as it was drawn, where there is hair."""
    if drawn is None:
        raise HeadError(_NOT_DRAWN)
    border = every(drawn.border(zones.head), zones.hair)
    return (Section("own section", drawn_field(drawn, zones.head), border, drawn.from_high),)


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
            Pattern("custom", "own pattern", _own, needs_drawn=True),
        )
    }
)
