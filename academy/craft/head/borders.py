"""Borders of sections as functions: how far inside a border the points of a head lie.

Sizes without a source are declared here (common practice, no source) and named.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from academy.craft.head.lines import nearest_mm
from academy.craft.head.shape import Floats, azimuth_elevation

if TYPE_CHECKING:
    from academy.craft.head.zones import Zones

Border: TypeAlias = Callable[[Floats], Floats]  # mm inside for points (..., 3), negative outside

DIAMOND_FRONT_MM = 20.0  # its front corner, behind the hairline

_TABLE_STEP_DEG = 1.5
_TABLE_END_DEG = 102.0
_TABLE_LOW_DEG = -60.0
_FAR_MM = 999.0


def every(*borders: Border) -> Border:
    """Inside all of the borders."""
    return lambda p: np.minimum.reduce([border(p) for border in borders])


def outside(border: Border) -> Border:
    """The other side of a border."""
    return lambda p: -border(p)


def left(p: Floats) -> Floats:
    """On the wearer's left."""
    return np.asarray(p[..., 0])


right = outside(left)


def front_band(zones: Zones, width_mm: float) -> Border:
    """Nearer than this to the hairline between the sideburns."""
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
    edge = zones.hairline.curve(zones.head, np.linspace(0.0, 84.0, 85))
    return nearest_mm(zones.head.surface(azimuth, elevation), edge)


def diamond_border(zones: Zones) -> Border:
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

    return every(border, zones.above_ridge, zones.hair)
