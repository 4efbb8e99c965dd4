"""Where the corners of patterns lie, as data: a line of the head and the border that cuts it.

A new corner is one entry in CORNERS. Borders are those that the foils are laid by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from academy.craft.head.lines import clipped_longest
from academy.craft.head.sectioning import PATTERNS, T_STRIP_MM, Border
from academy.craft.head.shape import Floats, HeadError, azimuth_elevation
from academy.craft.head.zones import Zones

_POINTS = 1441
_OFF_EDGE_MM = 0.05  # a strip's edge is met just inside of it, where the border has a sign


class Side(StrEnum):
    """Which side of the wearer a corner lies on."""

    LEFT = "left"
    RIGHT = "right"
    MIDDLE = "middle"


@dataclass(frozen=True)
class Line:
    """A line of the head, and the place on it from which a tape is laid."""

    points: Callable[[Zones], Floats]
    start: Callable[[Zones, Floats], Floats]
    tape_from: str


BorderOf: TypeAlias = Callable[[Zones], Border]


@dataclass(frozen=True)
class Cut:
    """A corner as data: the first or the last point of a line that a border leaves."""

    key: str
    name: str
    found: str
    side: Side
    line: Line
    border: BorderOf
    last: bool = False
    by_measure: bool = False


def _at_hairline(zones: Zones, line: Floats) -> Floats:
    return np.asarray(clipped_longest(line, zones.hair(line))[0])


def _in_the_middle(_: Zones, line: Floats) -> Floats:
    return np.asarray(line[len(line) // 2])


def _over_the_head(zones: Zones) -> Floats:
    """The midline from the face over the apex to the neck."""
    over = np.linspace(0.0, 240.0, _POINTS)
    back = over > 90
    return zones.head.surface(np.where(back, 180.0, 0.0), np.where(back, 180 - over, over))


def _ear_to_ear(zones: Zones) -> Floats:
    """The ear line from the left ear to the right."""
    return zones.head.ear_plane_curve(0.0, _POINTS)


def _temple_to_temple(zones: Zones) -> Floats:
    """The hairline from the left recession point to the right one."""
    azimuth = float(azimuth_elevation(zones.recession)[0])
    return zones.hairline.curve(zones.head, np.linspace(azimuth, -azimuth, _POINTS))


def _strip_edge(sign: float) -> Callable[[Zones], Floats]:
    """The edge of the T's strip on one side, from the face to the neck."""

    def points(zones: Zones) -> Floats:
        x = sign * (T_STRIP_MM / 2 - _OFF_EDGE_MM)
        turn = np.radians(np.linspace(0.0, 180.0, _POINTS))
        toward = np.stack([0 * turn, np.cos(turn), np.sin(turn)], -1)
        return zones.head.ray(np.array([x, 0.0, 0.0]), toward)

    return points


_MIDLINE = Line(_over_the_head, _at_hairline, "from the front hairline")
_EAR_LINE = Line(_ear_to_ear, _in_the_middle, "from the centre line")
_BROW = Line(_temple_to_temple, _in_the_middle, "from the centre line")
_STRIP_LEFT, _STRIP_RIGHT = (
    Line(_strip_edge(sign), _at_hairline, "from the front hairline") for sign in (1.0, -1.0)
)


def _hair(zones: Zones) -> Border:
    return zones.hair


def _behind_ears(zones: Zones) -> Border:
    return lambda p: -zones.front(p)


def _ridge(zones: Zones) -> Border:
    """Above the parietal ridge and on hair, as crown and top are."""
    return lambda p: np.minimum(zones.above_ridge(p), zones.hair(p))


def _section(pattern: str, name: str) -> BorderOf:
    def border(zones: Zones) -> Border:
        for section in PATTERNS[pattern].sections(zones):
            if section.name == name:
                return section.border
        raise HeadError(f"The pattern “{pattern}” has no section “{name}”.")

    return border


_FRONT = Cut(
    "front",
    "Front hairline",
    "where the centre parting meets the front hairline",
    Side.MIDDLE,
    _MIDLINE,
    _hair,
)
_RIDGE_BACK = Cut(
    "back",
    "Back of the crown",
    "where the ridge line crosses the centre line at the back",
    Side.MIDDLE,
    _MIDLINE,
    _ridge,
    last=True,
)


def _pair(key: str, name: str, found: str, line: Line, border: BorderOf) -> tuple[Cut, Cut]:
    """Both ends of a line that runs from the wearer's left to the right."""
    return (
        Cut(f"{key}_left", f"{name}, left", found, Side.LEFT, line, border),
        Cut(f"{key}_right", f"{name}, right", found, Side.RIGHT, line, border, last=True),
    )


_RIDGE_EARS = _pair(
    "ridge",
    "Ridge at the ear line",
    "where the ridge line crosses the parting from ear to ear",
    _EAR_LINE,
    _ridge,
)
_EARS = _pair(
    "ear",
    "Hairline at the ear",
    "where the parting from ear to ear meets the hairline",
    _EAR_LINE,
    _hair,
)


def _everywhere(_: Zones) -> Border:
    return lambda p: np.ones(p.shape[:-1])


_TEMPLES = _pair(
    "temple",
    "Temple corner",
    "where the hairline draws back furthest above the temple",
    _BROW,
    _everywhere,
)

_STRIP = _section("t_section", "strip")


def _strip_corners(key: str, name: str, found: str, *, last: bool) -> tuple[Cut, Cut]:
    left, right = (
        Cut(f"{key}_{side}", f"{name}, {side}", found, side, line, _STRIP, last, by_measure=True)
        for side, line in ((Side.LEFT, _STRIP_LEFT), (Side.RIGHT, _STRIP_RIGHT))
    )
    return left, right


def _diamond() -> Iterator[Cut]:
    border = _section("diamond", "diamond")
    middle = ("on the centre line", Side.MIDDLE, _MIDLINE, border)
    across = ("on the parting from ear to ear", _EAR_LINE, border)
    yield Cut("diamond_front", "Front corner", *middle, by_measure=True)
    for cut in _pair("diamond", "Side corner", *across):
        yield replace(cut, by_measure=True)
    yield Cut("diamond_back", "Back corner", *middle, last=True, by_measure=True)


_DIAMOND = tuple(_diamond())

CORNERS: Mapping[str, tuple[Cut, ...]] = MappingProxyType(
    {
        "quarters": (
            _FRONT,
            Cut(
                "crossing",
                "Crossing on top",
                "where the centre parting crosses the parting from ear to ear",
                Side.MIDDLE,
                _MIDLINE,
                _behind_ears,
            ),
            Cut(
                "nape",
                "Nape",
                "where the centre parting meets the hairline of the nape",
                Side.MIDDLE,
                _MIDLINE,
                _hair,
                last=True,
            ),
            *_EARS,
        ),
        "horseshoe": (*_TEMPLES, *_RIDGE_EARS, _RIDGE_BACK),
        "diamond": _DIAMOND,
        "t_section": (
            *_strip_corners(
                "strip_front",
                "Front of the strip",
                f"{T_STRIP_MM / 2:g} mm beside the centre line, where the front band ends",
                last=False,
            ),
            *_strip_corners(
                "strip_back",
                "Back of the strip",
                f"{T_STRIP_MM / 2:g} mm beside the centre line, on the ridge line at the back",
                last=True,
            ),
        ),
    }
)
