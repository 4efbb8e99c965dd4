"""An egg-shaped head: a superellipsoid set by length, breadth and tragion-to-top height.

Frame, millimetres: the origin lies midway between glabella and opisthocranion, x runs to the
wearer's left, y forward, z up; z = 0 is the plane in which a tape measures the head. The frame is
left-handed, so mind the order in cross products. Azimuth 0 is the front, +90 the wearer's left,
180 the back; elevation 90 is straight up; both are seen from the origin, in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from academy.craft.head.lines import clipped_longest, length_mm

if TYPE_CHECKING:
    from collections.abc import Mapping

Floats: TypeAlias = NDArray[np.float64]

# Exponents, egg and axis shares were fitted to arcs and landmarks of measured heads; the checks
# in tests/published hold them to the measurements.
HORIZONTAL_EXPONENT = 2.03
VERTICAL_EXPONENT = 2.145
EGG = 0.08  # how far the widest breadth lies behind the middle
TOP_PER_TRAGION_TOP = 0.7274  # height of the top above z = 0
LOWER_PER_UPPER = 0.998  # lower vertical semi-axis
TRAGION_Z = -0.2726  # in tragion-to-top heights
TRAGION_Y = -0.0785  # in half lengths
INION_Z = -0.314  # in tragion-to-top heights; the line between occipital and nape

LENGTH_MM = (140.0, 240.0)
BREADTH_MM = (110.0, 190.0)
TRAGION_TOP_MM = (90.0, 170.0)
TAPE_MM = (480.0, 660.0)  # the survey's means and four standard deviations, rounded outwards

# The egg term alone is not homogeneous in the radius; each step shrinks its error ten times.
_RADIUS_STEPS = 7
# How much larger than a body |x|^n + |y|^n <= 1, then |h|^m + |z|^m <= 1, an ellipsoid around it is.
_AROUND = 2.0 ** (1 - 1 / HORIZONTAL_EXPONENT - 1 / VERTICAL_EXPONENT)


class HeadError(ValueError):
    """Something about a head, a pattern or a place that cannot be; the message is for a person."""


def _egg_norm() -> float:
    t = np.linspace(-1.0, 1.0, 4001)
    n = HORIZONTAL_EXPONENT
    return float(1.0 / np.max((1 - EGG * t) * (1 - np.abs(t) ** n) ** (1 / n)))


_EGG_NORM = _egg_norm()  # makes the widest breadth of the egg equal breadth_mm


def _require(name: str, value: float, limits: tuple[float, float]) -> None:
    low, high = limits
    if not low <= value <= high:
        raise HeadError(
            f"A {name} of {value:g} mm is not a head. Give one from {low:g} to {high:g} mm."
        )


def _middle_mm(head: Head) -> float:
    return (head.length_mm + head.breadth_mm) / 2


@dataclass(frozen=True)
class Head:
    """A head given by three calliper lengths in millimetres. Impossible ones raise HeadError."""

    length_mm: float
    breadth_mm: float
    tragion_top_mm: float

    def __post_init__(self) -> None:
        """Refuse lengths that no head has."""
        _require("head length", self.length_mm, LENGTH_MM)
        _require("head breadth", self.breadth_mm, BREADTH_MM)
        _require("tragion-to-top height", self.tragion_top_mm, TRAGION_TOP_MM)
        if self.breadth_mm >= self.length_mm:
            raise HeadError(
                f"The head is {self.breadth_mm:g} mm broad but only {self.length_mm:g} mm long. "
                "Check that length and breadth are not swapped."
            )

    @classmethod
    def of_tape(cls, circumference_mm: float) -> Head:
        """The mean woman's head scaled to a tape over hair, as training heads are sold by it.

        HeadError for a tape that no head has.
        """
        low, high = TAPE_MM
        if not low <= circumference_mm <= high:
            raise HeadError(
                f"A tape of {circumference_mm:g} mm round the head is not a head. "
                f"Heads measure {low:g} to {high:g} mm, for example 575 mm."
            )
        return FEMALE_MEAN.scaled(circumference_mm / FEMALE_MEAN_TAPE_MM)

    @classmethod
    def of_lengths(
        cls, length_mm: float, breadth_mm: float, tragion_top_mm: float | None = None
    ) -> Head:
        """A head by callipers; the height may be left out.

        It then lies on the line through the mean woman and the mean man: by half the sum of
        length and breadth, 0.58 mm of height for each millimetre.
        """
        if tragion_top_mm is not None:
            return cls(length_mm, breadth_mm, tragion_top_mm)
        known = cls(length_mm, breadth_mm, FEMALE_MEAN.tragion_top_mm)  # refuses before guessing
        woman, man = _middle_mm(FEMALE_MEAN), _middle_mm(MALE_MEAN)
        share = (_middle_mm(known) - woman) / (man - woman)
        rise = MALE_MEAN.tragion_top_mm - FEMALE_MEAN.tragion_top_mm
        return cls(length_mm, breadth_mm, FEMALE_MEAN.tragion_top_mm + share * rise)

    @property
    def tape_mm(self) -> float:
        """What a tape over hair reads: regression on 6068 people of the survey, SD 9.3 mm."""
        return 1.480 * self.length_mm + 0.945 * self.breadth_mm + 135.7

    def scaled(self, factor: float) -> Head:
        """The same head, larger or smaller in every direction."""
        return Head(self.length_mm * factor, self.breadth_mm * factor, self.tragion_top_mm * factor)

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

    @property
    def tragion_y(self) -> float:
        """Where the ears sit, forward of the origin, mm; the ear line runs through it."""
        return TRAGION_Y * self.half_length

    @property
    def tragion_z(self) -> float:
        """Height of the tragions, mm."""
        return TRAGION_Z * self.tragion_top_mm

    @property
    def inion_z(self) -> float:
        """Height of the line between occipital and nape, mm."""
        return INION_Z * self.tragion_top_mm

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

    def ear_plane_curve(
        self, back_tilt_deg: ArrayLike, count: int, *, beyond: float = 0.2
    ) -> Floats:
        """Curves (..., count, 3) from the left ear over the head to the right ear.

        Each lies in a plane through the line between the tragions; 0 is upright, positive tilts
        lean backwards. `beyond` is how far they run on below that line, in radians.
        """
        tilt = np.radians(np.asarray(back_tilt_deg, float))[..., None]
        along = np.linspace(-beyond, np.pi + beyond, count)[: (count + 1) // 2]
        x, y, z = np.broadcast_arrays(
            np.cos(along) + 0 * tilt,
            -np.sin(along) * np.sin(tilt),
            np.sin(along) * np.cos(tilt),
        )
        axis = np.array([0.0, self.tragion_y, self.tragion_z])
        left = self.ray(axis, np.stack([x, y, z], -1))
        right = left[..., count // 2 - 1 :: -1, :] * np.array([-1.0, 1.0, 1.0])
        return np.concatenate([left, right], -2)

    def plane_curve(self, inside: Floats, first: Floats, second: Floats, count: int) -> Floats:
        """Closed curve (count, 3) cut by the plane through `inside` along two unit vectors."""
        turn = np.linspace(-np.pi, np.pi, count)[:, None]
        return self.ray(inside, np.cos(turn) * first + np.sin(turn) * second)

    @cached_property
    def circumference_mm(self) -> float:
        """Girth at z = 0 of the bare model; a tape over hair reads 3 to 5 per cent more."""
        return length_mm(self.ring(0.0, np.linspace(-180, 180, 721)))

    @cached_property
    def coronal_arc_mm(self) -> float:
        """Tragion to tragion over the top, in the upright plane of the tragions."""
        curve = self.ear_plane_curve(0.0, 721)
        return length_mm(clipped_longest(curve, curve[:, 2] - self.tragion_z))

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


# Means of the U.S. Army's 2012 survey of body measurements: 1986 women, 4082 men, over hair.
FEMALE_MEAN = Head(189.82, 147.77, 126.48)
MALE_MEAN = Head(199.50, 154.33, 131.15)
FEMALE_MEAN_TAPE_MM = 561.12
# A training head is sold by its tape circumference: the mean woman's head shrunk to 540 mm.
TRAINING_HEAD = Head.of_tape(540.0)

HEADS: Mapping[str, Head] = MappingProxyType(
    {"training": TRAINING_HEAD, "woman": FEMALE_MEAN, "man": MALE_MEAN}
)
HEAD_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "training": "training head, 54 cm",
        "woman": "mean woman's head",
        "man": "mean man's head",
    }
)
