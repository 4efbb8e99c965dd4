"""Families of lines over the head; the partings of a section are lines of one family."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

import numpy as np

if TYPE_CHECKING:
    from academy.craft.head.shape import Floats, Head

_RING_POINTS = 241
_EAR_POINTS = 121
_RAY_STEPS = 9  # the first and last planes of a family cut small rings, so more than usual
_REACH = 0.9999  # of the way to the outermost planes
_FACING_GRIDS = ((180.0, 90.0), (4.0, 4.0), (0.4, 0.4))  # half widths in degrees
_FACING_POINTS = (91, 46)


class Field(Protocol):
    """Lines that do not cross, each with a level that rises from one line to the next."""

    def lines(self, levels: Floats) -> Floats:
        """Lines (levels, points, 3) in mm, from the wearer's left to the right or around."""

    def level(self, p: Floats) -> Floats:
        """The level (...) of the line through points (..., 3)."""

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface (...) for one step of the level, at points (..., 3)."""

    def limits(self) -> tuple[float, float]:
        """The lowest and the highest level."""


@dataclass(frozen=True)
class Horizontal:
    """Lines of equal height; the level is z in mm.

    They begin at the azimuth `first_deg` and run over `turn_deg` towards the wearer's right, by
    default all round from the back.
    """

    head: Head
    first_deg: float = 180.0
    turn_deg: float = 360.0

    @classmethod
    def left(cls, head: Head) -> Horizontal:
        """The wearer's left half, from the back to the front."""
        return cls(head, 180.0, 180.0)

    @classmethod
    def right(cls, head: Head) -> Horizontal:
        """The wearer's right half, from the front to the back."""
        return cls(head, 0.0, 180.0)

    @classmethod
    def behind(cls, head: Head) -> Horizontal:
        """All round, opened at the front."""
        return cls(head, 360.0)

    def lines(self, levels: Floats) -> Floats:
        """Lines (levels, points, 3), the azimuth falling."""
        count = round((_RING_POINTS - 1) * self.turn_deg / 360) + 1
        azimuth = np.linspace(self.first_deg, self.first_deg - self.turn_deg, count)
        return self.head.ring(levels[:, None], azimuth)

    def level(self, p: Floats) -> Floats:
        """Height in mm."""
        return np.asarray(p[..., 2])

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface for one millimetre of height."""
        upright = self.head.normal(p)[..., 2]
        return np.asarray(1 / np.sqrt(np.maximum(1 - upright**2, 1e-9)))

    def limits(self) -> tuple[float, float]:
        """From well below the nape to just under the apex."""
        return -0.8 * self.head.lower_axis, 0.9999 * self.head.top_z


@dataclass(frozen=True)
class EarToEar:
    """Lines from ear to ear; the level is the backward tilt of their plane in degrees.

    `all_round` goes on from the neck to below the chin and ends every line at the axis through
    the ears, so that each place of the head lies on one line only.
    """

    head: Head
    all_round: bool = False

    def lines(self, levels: Floats) -> Floats:
        """Curves (levels, points, 3) from the left ear over the head to the right ear."""
        if self.all_round:
            return self.head.ear_plane_curve(levels, _EAR_POINTS, beyond=0.0)
        return self.head.ear_plane_curve(levels, _EAR_POINTS)

    def level(self, p: Floats) -> Floats:
        """Backward tilt in degrees of the plane through both ears and each point."""
        behind, above = self.head.tragion_y - p[..., 1], p[..., 2] - self.head.tragion_z
        return np.asarray(np.degrees(np.arctan2(behind, above)))

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface for one degree of tilt."""
        y, z = p[..., 1] - self.head.tragion_y, p[..., 2] - self.head.tragion_z
        rho = np.maximum(np.hypot(y, z), 1e-9)  # the lines meet at the ears
        normal = self.head.normal(p)
        across = (normal[..., 1] * -z + normal[..., 2] * y) / rho
        return np.asarray(np.radians(rho / np.sqrt(np.maximum(1 - across**2, 1e-9))))

    def limits(self) -> tuple[float, float]:
        """From the face to the neck."""
        return (-120.0, 170.0) if self.all_round else (-89.0, 89.0)


@dataclass(frozen=True)
class Planes:
    """Lines in parallel planes; the level is the distance in mm along `normal`, a unit vector.

    Rings run around the head and are opened opposite to `middle`, the direction in which the
    section lies, so that a section there is never cut by the opening; at the middle they run
    along `along`.
    """

    head: Head
    normal: tuple[float, float, float]
    middle: tuple[float, float, float]
    along: tuple[float, float, float]

    def lines(self, levels: Floats) -> Floats:
        """Rings (levels, points, 3) around the head."""
        normal = np.array(self.normal)
        low, high = _facing(self.head, self.normal)
        share = (levels - normal @ low) / (normal @ (high - low))
        inside = low + share[:, None] * (high - low)
        first = np.array(self.middle) - (normal @ np.array(self.middle)) * normal
        first /= np.linalg.norm(first)
        second = np.cross(normal, first)
        second *= 1.0 if second @ np.array(self.along) >= 0 else -1.0
        turn = np.linspace(-np.pi, np.pi, _RING_POINTS)[:, None]
        toward = np.cos(turn) * first + np.sin(turn) * second
        return self.head.ray(inside[:, None], toward, steps=_RAY_STEPS)

    def level(self, p: Floats) -> Floats:
        """Distance in mm along the normal."""
        return np.asarray(p @ np.array(self.normal))

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface for one millimetre between planes."""
        across = self.head.normal(p) @ np.array(self.normal)
        return np.asarray(1 / np.sqrt(np.maximum(1 - across**2, 1e-9)))

    def limits(self) -> tuple[float, float]:
        """Just inside the two planes that touch the head."""
        low, high = (float(np.array(self.normal) @ end) for end in _facing(self.head, self.normal))
        middle, half = (low + high) / 2, (high - low) / 2
        return middle - _REACH * half, middle + _REACH * half


@lru_cache(maxsize=64)
def _facing(head: Head, normal: tuple[float, float, float]) -> tuple[Floats, Floats]:
    """The surface points (3,) furthest against and along a direction, on ever finer grids."""
    ends = []
    for sign in (-1.0, 1.0):
        azimuth, elevation = 0.0, 0.0
        for across, up in _FACING_GRIDS:
            a = (azimuth + np.linspace(-across, across, _FACING_POINTS[0]))[:, None]
            e = np.clip(elevation + np.linspace(-up, up, _FACING_POINTS[1]), -90.0, 90.0)
            p = head.surface(a, e)
            i, j = np.unravel_index(int((sign * (p @ np.array(normal))).argmax()), p.shape[:2])
            azimuth, elevation = float(a[i, 0]), float(e[j])
        ends.append(head.surface(azimuth, elevation))
    return ends[0], ends[1]
