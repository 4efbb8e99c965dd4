"""Families of lines over the head; the partings of a section are lines of one family."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

if TYPE_CHECKING:
    from academy.craft.head.shape import Floats, Head

_RING_POINTS = 241
_EAR_POINTS = 121


class Field(Protocol):
    """Lines that do not cross, each with a level that rises from one line to the next."""

    def lines(self, levels: Floats) -> Floats:
        """Lines (levels, points, 3) in mm, from the wearer's left to the right or around."""

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface (...) for one step of the level, at points (..., 3)."""

    def limits(self) -> tuple[float, float]:
        """The lowest and the highest level."""


@dataclass(frozen=True)
class Horizontal:
    """Lines of equal height; the level is z in mm. `behind` opens the ring at the front."""

    head: Head
    behind: bool = False

    def lines(self, levels: Floats) -> Floats:
        """Rings (levels, points, 3) from back to back, or from front to front with `behind`."""
        first = 360.0 if self.behind else 180.0
        return self.head.ring(levels[:, None], np.linspace(first, first - 360.0, _RING_POINTS))

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface for one millimetre of height."""
        upright = self.head.normal(p)[..., 2]
        return np.asarray(1 / np.sqrt(np.maximum(1 - upright**2, 1e-9)))

    def limits(self) -> tuple[float, float]:
        """From well below the nape to just under the apex."""
        return -0.8 * self.head.lower_axis, 0.9999 * self.head.top_z


@dataclass(frozen=True)
class EarToEar:
    """Lines from ear to ear; the level is the backward tilt of their plane in degrees."""

    head: Head

    def lines(self, levels: Floats) -> Floats:
        """Curves (levels, points, 3) from the left ear over the head to the right ear."""
        return self.head.ear_plane_curve(levels, _EAR_POINTS)

    def spread(self, p: Floats) -> Floats:
        """Millimetres along the surface for one degree of tilt."""
        y, z = p[..., 1] - self.head.tragion_y, p[..., 2] - self.head.tragion_z
        rho = np.hypot(y, z)
        normal = self.head.normal(p)
        across = (normal[..., 1] * -z + normal[..., 2] * y) / rho
        return np.asarray(np.radians(rho / np.sqrt(np.maximum(1 - across**2, 1e-9))))

    def limits(self) -> tuple[float, float]:
        """From the face to the neck."""
        return -89.0, 89.0
