"""The corners of section patterns: where their borders cross, worked out from the same borders
that the foils are laid by.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.corner_cuts import CORNERS, Cut, Side
from academy.craft.head.lines import along_mm, clipped_longest
from academy.craft.head.shape import Floats, HeadError, azimuth_elevation

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.head.zones import Zones

__all__ = ["CORNERS", "Corner", "Side", "corners"]


@dataclass(frozen=True)
class Corner:
    """One corner of a pattern on one head: degrees, as places are kept everywhere.

    ``name`` is what it is called within its pattern, ``found`` the lines that it lies on;
    ``along_mm`` is how far a tape on the scalp reads along its line from ``tape_from``.
    ``by_measure`` says that no line but the tape tells where it is.
    """

    key: str
    name: str
    found: str
    side: Side
    azimuth_deg: float
    elevation_deg: float
    along_mm: float
    tape_from: str
    by_measure: bool


def corners(pattern: str, zones: Zones) -> Mapping[str, Corner]:
    """The corners of a pattern by key, in the order in which they are found on a head.

    HeadError for a pattern whose corners are not listed.
    """
    if pattern not in CORNERS:
        known = ", ".join(CORNERS)
        raise HeadError(f"No corners are named for “{pattern}”. Choose one of {known}.")
    return _corners(pattern, zones)


@lru_cache(maxsize=64)
def _corners(pattern: str, zones: Zones) -> Mapping[str, Corner]:
    return MappingProxyType({cut.key: _found(cut, zones) for cut in CORNERS[pattern]})


def _found(cut: Cut, zones: Zones) -> Corner:
    line = cut.line.points(zones)
    kept = clipped_longest(line, cut.border(zones)(line))
    if not len(kept):
        raise HeadError(f"This head has no corner “{cut.name}”: the border does not cut its line.")
    at = kept[-1 if cut.last else 0]
    azimuth, elevation = (float(angle) for angle in azimuth_elevation(at))
    if cut.side is Side.MIDDLE:
        azimuth = 180.0 if abs(azimuth) > 90 else 0.0
    along = along_mm(line)
    tape = abs(along[_nearest(line, at)] - along[_nearest(line, cut.line.start(zones, line))])
    return Corner(
        cut.key,
        cut.name,
        cut.found,
        cut.side,
        azimuth,
        elevation,
        float(tape),
        cut.line.tape_from,
        cut.by_measure,
    )


def _nearest(line: Floats, p: Floats) -> int:
    return int(np.linalg.norm(line - p, axis=1).argmin())
