"""An egg-shaped superellipsoid, the surface of a head: points, normals, and where rays leave it.

Frame, millimetres: x to the wearer's left, y forward, z up, the origin inside; left-handed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

Floats: TypeAlias = NDArray[np.float64]

# Exponents, egg and axis shares were fitted to arcs and landmarks of measured heads; the checks
# in tests/published hold them to the measurements.
HORIZONTAL_EXPONENT = 2.03
VERTICAL_EXPONENT = 2.145
EGG = 0.08  # how far the widest breadth lies behind the middle
TOP_PER_TRAGION_TOP = 0.7274  # height of the top above z = 0
LOWER_PER_UPPER = 0.998  # lower vertical semi-axis

# The egg term alone is not homogeneous in the radius; each step shrinks its error ten times.
_RADIUS_STEPS = 7
# How much larger an ellipsoid around a body |x|^n + |y|^n <= 1, |h|^m + |z|^m <= 1 is at most.
_AROUND = 2.0 ** (1 - 1 / HORIZONTAL_EXPONENT - 1 / VERTICAL_EXPONENT)


def _egg_norm() -> float:
    t = np.linspace(-1.0, 1.0, 4001)
    n = HORIZONTAL_EXPONENT
    return float(1.0 / np.max((1 - EGG * t) * (1 - np.abs(t) ** n) ** (1 / n)))


_EGG_NORM = _egg_norm()  # makes the widest breadth of the egg equal breadth_mm


@dataclass(frozen=True)
class Egg:
    """The surface that belongs to three calliper lengths in millimetres."""

    length_mm: float
    breadth_mm: float
    tragion_top_mm: float

    @property
    def half_length(self) -> float:
        """Semi-axis along y, mm."""
        return self.length_mm / 2

    @property
    def half_breadth(self) -> float:
        """Half of the widest breadth, mm."""
        return self.breadth_mm / 2

    @property
    def side_axis(self) -> float:
        """Semi-axis along x at y = 0, mm; the widest breadth lies a little behind it."""
        return self.half_breadth * _EGG_NORM

    @property
    def top_z(self) -> float:
        """Height of the apex above z = 0, mm."""
        return TOP_PER_TRAGION_TOP * self.tragion_top_mm

    @property
    def lower_axis(self) -> float:
        """Vertical semi-axis below z = 0, mm."""
        return LOWER_PER_UPPER * self.top_z

    def surface(self, azimuth_deg: ArrayLike, elevation_deg: ArrayLike) -> Floats:
        """Surface points (..., 3) seen from the origin under azimuth and elevation."""
        toward = direction(azimuth_deg, elevation_deg)
        return toward * self.radius(toward)[..., None]

    def radius(self, toward: Floats) -> Floats:
        """Distance in mm from the origin to the surface along unit directions (..., 3)."""
        n, m = HORIZONTAL_EXPONENT, VERTICAL_EXPONENT
        side = (np.abs(toward[..., 0]) / self.side_axis) ** n
        along = (np.abs(toward[..., 1]) / self.half_length) ** n
        z = toward[..., 2]
        upright = (np.abs(z) / np.where(z >= 0, self.top_z, self.lower_axis)) ** m
        lean = EGG * toward[..., 1] / self.half_length
        r = np.full(z.shape, self.half_breadth)
        for _ in range(_RADIUS_STEPS):
            r = ((side * (1 - lean * r) ** -n + along) ** (m / n) + upright) ** (-1 / m)
        return r

    def level(self, p: Floats) -> Floats:
        """Implicit function (...) of points: below 1 inside, 1 on the surface, above 1 outside."""
        return self._level_and_gradient(p)[0]

    def normal(self, p: Floats) -> Floats:
        """Outward unit normals (..., 3) at surface points."""
        gradient = self._level_and_gradient(p)[1]
        return np.asarray(gradient / np.linalg.norm(gradient, axis=-1, keepdims=True))

    def ray(self, origin: Floats, toward: Floats, *, steps: int = 5) -> Floats:
        """Where rays from `origin` along the unit vectors `toward` leave the head, (..., 3).

        Newton from just outside on level ** (1/m), which is convex along a line. A ray that
        misses the head ends near its point of least level; ask `level` whether it is 1.
        """
        m = VERTICAL_EXPONENT
        t = self._outside(origin, toward)
        for _ in range(steps):
            level, gradient = self._level_and_gradient(origin + t[..., None] * toward)
            f = level ** (1 / m)
            slope = np.sum(gradient * toward, -1) * f / level / m
            t = t - np.where(slope > 1e-6, (f - 1) / np.maximum(slope, 1e-6), 0.0)
        return origin + t[..., None] * toward

    def ring(self, z_mm: ArrayLike, azimuth_deg: ArrayLike) -> Floats:
        """Points (..., 3) at heights z and azimuths; z must lie between the two poles."""
        n, m = HORIZONTAL_EXPONENT, VERTICAL_EXPONENT
        z = np.asarray(z_mm, float)
        room = 1 - (np.abs(z) / np.where(z >= 0, self.top_z, self.lower_axis)) ** m
        reach = np.maximum(room, 0.0) ** (1 / m)
        angle = np.radians(azimuth_deg)
        sin, cos = np.sin(angle), np.cos(angle)
        side = (np.abs(sin) / self.side_axis) ** n
        along = (np.abs(cos) / self.half_length) ** n
        lean = EGG * cos / self.half_length
        rho = np.full(np.broadcast_shapes(z.shape, angle.shape), self.half_breadth)
        for _ in range(_RADIUS_STEPS):
            rho = reach * (side * (1 - lean * rho) ** -n + along) ** (-1 / n)
        return np.stack([rho * sin, rho * cos, np.broadcast_to(z, rho.shape)], -1)

    def plane_curve(self, inside: Floats, first: Floats, second: Floats, count: int) -> Floats:
        """Closed curve (count, 3) cut by the plane through `inside` along two unit vectors."""
        turn = np.linspace(-np.pi, np.pi, count)[:, None]
        return self.ray(inside, np.cos(turn) * first + np.sin(turn) * second)

    def _outside(self, origin: Floats, toward: Floats) -> Floats:
        """How far along rays (...) an ellipsoid around the head is left, or passed nearest."""
        axes = np.array([self.side_axis * (1 + EGG), self.half_length, self.top_z])
        start, along = origin / (_AROUND * axes), toward / (_AROUND * axes)
        a, b = np.sum(along * along, -1), np.sum(start * along, -1)
        c = np.sum(start * start, -1) - 1
        return np.asarray((np.sqrt(np.maximum(b * b - a * c, 0.0)) - b) / a)

    def _level_and_gradient(self, p: Floats) -> tuple[Floats, Floats]:
        """The implicit function of `level` and its slope per mm, from the same powers."""
        n, m, b = HORIZONTAL_EXPONENT, VERTICAL_EXPONENT, self.half_length
        x, y, z = np.abs(p[..., 0]), np.abs(p[..., 1]), np.abs(p[..., 2])
        lean = np.maximum(1 - EGG * p[..., 1] / b, 0.05)
        axis = np.where(p[..., 2] >= 0, self.top_z, self.lower_axis)
        ax = self.side_axis * lean
        side_slope, along_slope = (x / ax) ** (n - 1) / ax, (y / b) ** (n - 1) / b
        upright_slope = (z / axis) ** (m - 1) / axis
        side = side_slope * x
        horizontal = np.maximum(side + along_slope * y, 1e-12)
        outer = horizontal ** (m / n - 1)
        gradient = np.stack(
            [
                m * outer * np.sign(p[..., 0]) * side_slope,
                m * outer * (np.sign(p[..., 1]) * along_slope + side * EGG / (b * lean)),
                m * np.sign(p[..., 2]) * upright_slope,
            ],
            -1,
        )
        return outer * horizontal + upright_slope * z, gradient


def direction(azimuth_deg: ArrayLike, elevation_deg: ArrayLike) -> Floats:
    """Unit vectors (..., 3) toward azimuth and elevation."""
    a, e = np.radians(azimuth_deg), np.radians(elevation_deg)
    x, y, z = np.broadcast_arrays(np.sin(a) * np.cos(e), np.cos(a) * np.cos(e), np.sin(e))
    return np.stack([x, y, z], -1)


def azimuth_elevation(p: Floats) -> tuple[Floats, Floats]:
    """Azimuth (-180..180) and elevation in degrees of points (..., 3)."""
    flat = np.hypot(p[..., 0], p[..., 1])
    return np.degrees(np.arctan2(p[..., 0], p[..., 1])), np.degrees(np.arctan2(p[..., 2], flat))
