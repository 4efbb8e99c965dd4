"""Hairlines as tables of elevations: the average one and three that people have beside it.

All are declared (common practice, no source): drawn by eye and held to sane zones by tests. They
differ at the forehead and the temples only; ears and nape are those of the average hairline.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike

    from academy.craft.head.shape import Floats, Head

_AZIMUTHS = (0, 14, 28, 38, 50, 62, 71, 77, 83, 87, 90, 94, 100, 108, 118, 132, 150, 165, 180)
_SIDE_AND_NAPE = (-9, -24, -24, -12, -5, -3.5, -7, -26, -43, -50, -50, -48)  # from azimuth 77


@dataclass(frozen=True)
class Hairline:
    """A symmetric hairline: elevations in degrees at rising azimuths from 0 (front) to 180.

    It draws back furthest above the temple at `recession_deg`, the azimuth of the recession
    points; the corners of the fringe lie there.
    """

    key: str
    words: str
    azimuth_deg: tuple[float, ...]
    elevation_deg: tuple[float, ...]
    recession_deg: float = 38.0

    def at(self, azimuth_deg: ArrayLike) -> Floats:
        """Elevation of the hairline (...) at azimuths of either side."""
        folded = np.abs((np.asarray(azimuth_deg, float) + 180) % 360 - 180)
        table = _table(self)
        return np.asarray(np.interp(folded, np.linspace(0, 180, len(table)), table))

    def curve(self, head: Head, azimuth_deg: ArrayLike) -> Floats:
        """Points (..., 3) of the hairline on a head, mm."""
        return head.surface(azimuth_deg, self.at(azimuth_deg))


@lru_cache(maxsize=16)
def _table(hairline: Hairline) -> Floats:
    """Elevations at every quarter degree of azimuth from 0 to 180."""
    known, heights = np.array(hairline.azimuth_deg), np.array(hairline.elevation_deg)
    return _monotone_cubic(known, heights, np.linspace(0, 180, 721))


def _monotone_cubic(x: Floats, y: Floats, at: Floats) -> Floats:
    """Monotone cubic through (x, y), flat at both ends so that it mirrors smoothly."""
    step = np.diff(x)
    rise = np.diff(y) / step
    before, after = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (before + after) / (before / rise[:-1] + after / rise[1:])
    inner = np.where(rise[:-1] * rise[1:] > 0, mean, 0.0)
    slope = np.concatenate([np.zeros(1), inner, np.zeros(1)])
    i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    t, h = (at - x[i]) / step[i], step[i]
    keep, swap = (1 + 2 * t) * (1 - t) ** 2, t * t * (3 - 2 * t)
    bend = h * t * (1 - t) * ((1 - t) * slope[i] - t * slope[i + 1])
    return np.asarray(keep * y[i] + swap * y[i + 1] + bend)


def _hairline(key: str, words: str, front: tuple[float, ...]) -> Hairline:
    """A hairline by its elevations from the middle of the forehead to azimuth 71."""
    return Hairline(key, words, _AZIMUTHS, (*front, *_SIDE_AND_NAPE))


AVERAGE = _hairline("average", "average hairline", (33, 33.5, 36, 38, 31, 17, 5))
_HIGH = _hairline("high", "high hairline", (39, 39.5, 42, 44, 36, 20, 6))
_LOW = _hairline("low", "low hairline", (28, 28.5, 31, 33, 27, 15, 5))
_RECEDING = _hairline("receding", "receding hairline", (34, 36, 45, 53, 45, 24, 7))

HAIRLINES: Mapping[str, Hairline] = MappingProxyType(
    {hairline.key: hairline for hairline in (AVERAGE, _HIGH, _LOW, _RECEDING)}
)
