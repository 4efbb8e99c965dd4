"""A head: an egg-shaped surface set by length, breadth and tragion-to-top height, and its marks.

Frame, millimetres: the origin lies midway between glabella and opisthocranion, x runs to the
wearer's left, y forward, z up; z = 0 is the plane in which a tape measures the head. The frame is
left-handed, so mind the order in cross products. Azimuth 0 is the front, +90 the wearer's left,
180 the back; elevation 90 is straight up; both are seen from the origin, in degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.egg import (
    EGG,
    HORIZONTAL_EXPONENT,
    VERTICAL_EXPONENT,
    Egg,
    Floats,
    azimuth_elevation,
    direction,
)
from academy.craft.head.lines import clipped_longest, length_mm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike

__all__ = [
    "EGG",
    "FEMALE_MEAN",
    "FEMALE_MEAN_TAPE_MM",
    "HEADS",
    "HEAD_WORDS",
    "HORIZONTAL_EXPONENT",
    "MALE_MEAN",
    "TAPE_MM",
    "TRAINING_HEAD",
    "VERTICAL_EXPONENT",
    "Floats",
    "Head",
    "HeadError",
    "azimuth_elevation",
    "direction",
]

TRAGION_Z = -0.2726  # in tragion-to-top heights
TRAGION_Y = -0.0785  # in half lengths
INION_Z = -0.314  # in tragion-to-top heights; the line between occipital and nape

LENGTH_MM = (140.0, 240.0)
BREADTH_MM = (110.0, 190.0)
TRAGION_TOP_MM = (90.0, 170.0)
TAPE_MM = (480.0, 660.0)  # the survey's means and four standard deviations, rounded outwards


class HeadError(ValueError):
    """Something about a head, a pattern or a place that cannot be; the message is for a person."""


def _require(name: str, value: float, limits: tuple[float, float]) -> None:
    low, high = limits
    if not low <= value <= high:
        raise HeadError(
            f"A {name} of {value:g} mm is not a head. Give one from {low:g} to {high:g} mm."
        )


def _middle_mm(head: Head) -> float:
    return (head.length_mm + head.breadth_mm) / 2


@dataclass(frozen=True)
class Head(Egg):
    """A head given by three calliper lengths in millimetres. Impossible ones raise HeadError."""

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

    @cached_property
    def circumference_mm(self) -> float:
        """Girth at z = 0 of the bare model; a tape over hair reads 3 to 5 per cent more."""
        return length_mm(self.ring(0.0, np.linspace(-180, 180, 721)))

    @cached_property
    def coronal_arc_mm(self) -> float:
        """Tragion to tragion over the top, in the upright plane of the tragions."""
        curve = self.ear_plane_curve(0.0, 721)
        return length_mm(clipped_longest(curve, curve[:, 2] - self.tragion_z))


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
