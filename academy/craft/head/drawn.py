"""A section of a pattern of one's own: a border drawn on the head, and how it is parted.

Corners are joined by the shortest lines seen from the middle of the head, so a drawn section
means the same on every head size. Distances to the border are straight ones.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from academy.craft.head.arcs import Arcs, cap_middle, crossing, folds_back
from academy.craft.head.lines import lengths
from academy.craft.head.shape import FEMALE_MEAN, HeadError, direction

if TYPE_CHECKING:
    from academy.craft.head.shape import Floats, Head

MOST_CORNERS = 24
BAND_MM = (10.0, 120.0)
CLOSEST_MM = 3.0  # corners nearer to each other than this are one corner typed twice
WIDEST_DEG = 85.0  # from the middle of the drawn section to its furthest corner

_SMALL = 1e-9


class Direction(StrEnum):
    """How a drawn section is parted.

    Diagonals are meant as one looks at the section straight on, front up where it lies on top.
    """

    LEVEL = "level"
    EAR_TO_EAR = "ear_to_ear"
    FRONT_TO_BACK = "front_to_back"
    RISING = "rising"
    FALLING = "falling"

    @property
    def words(self) -> str:
        """The direction as people say it."""
        return _WORDS[self]

    @property
    def mirrored(self) -> Direction:
        """The direction in which the same section on the other side of the head is parted."""
        return _MIRRORED.get(self, self)


_WORDS = {
    Direction.LEVEL: "level, round the head",
    Direction.EAR_TO_EAR: "from ear to ear",
    Direction.FRONT_TO_BACK: "from front to back",
    Direction.RISING: "diagonal, rising to the right as you look at it",
    Direction.FALLING: "diagonal, falling to the right as you look at it",
}
_MIRRORED = {Direction.RISING: Direction.FALLING, Direction.FALLING: Direction.RISING}


@dataclass(frozen=True)
class DrawnSection:
    """Corners as (azimuth, elevation) in degrees, kept to two decimals.

    Without `band_mm` they are the corners of a closed area in order, at least three; with it a
    line of at least two points with a band of that width along it, half on either side, its ends
    round. `from_high` takes the partings from the other end. HeadError for what cannot be.
    """

    corners: tuple[tuple[float, float], ...]
    band_mm: float | None = None
    direction: Direction = Direction.LEVEL
    from_high: bool = False

    def __post_init__(self) -> None:
        """Round the corners, and refuse a border that encloses nothing clear."""
        object.__setattr__(self, "corners", tuple(_corner(*at) for at in self.corners))
        self._check_count()
        if self.band_mm is not None and not BAND_MM[0] <= self.band_mm <= BAND_MM[1]:
            raise HeadError(
                f"The band is {self.band_mm:g} mm wide. "
                f"Give {BAND_MM[0]:g} to {BAND_MM[1]:g} mm, for example 25 mm."
            )
        self._check_apart()
        if float(np.degrees(np.arccos(self._toward @ self.middle)).max()) > WIDEST_DEG:
            raise HeadError(
                "The corners lie more than half round the head from each other. "
                "Draw a smaller section; lay two patterns for more."
            )
        if self.band_mm is None:
            self._check_crossing()

    @classmethod
    def from_data(cls, data: object) -> DrawnSection:
        """A section from plain data as `to_data` writes it; HeadError for any other data."""
        if not isinstance(data, Mapping) or not set(data) <= _KEYS or "corners" not in data:
            raise HeadError(
                "A drawn section needs its corners, and may give a band, a direction and the end "
                'to begin at, for example {"corners": [[100, 30], [140, 30], [120, 50]]}.'
            )
        corners, band, high = data["corners"], data.get("band_mm"), data.get("from_high", False)
        if not isinstance(corners, list | tuple) or not all(_is_pair(at) for at in corners):
            raise HeadError(
                "Each corner is two numbers in degrees: azimuth and elevation, for example "
                "[120, 50]."
            )
        if band is not None and not _is_number(band):
            raise HeadError("The band's width is a number of millimetres, for example 25.")
        if not isinstance(high, bool):
            raise HeadError("Whether to begin at the other end is true or false.")
        named = data.get("direction", Direction.LEVEL.value)
        if named not in [known.value for known in Direction]:
            raise HeadError(
                f"There is no direction “{named}”. Choose one of {', '.join(Direction)}."
            )
        at = tuple((float(azimuth), float(elevation)) for azimuth, elevation in corners)
        return cls(at, None if band is None else float(band), Direction(named), high)

    def to_data(self) -> dict[str, Any]:
        """The section as plain data for JSON."""
        return {
            "corners": [list(at) for at in self.corners],
            "band_mm": self.band_mm,
            "direction": self.direction.value,
            "from_high": self.from_high,
        }

    @property
    def mirrored(self) -> DrawnSection:
        """The same section on the other side of the head."""
        corners = tuple((-azimuth, elevation) for azimuth, elevation in self.corners)
        # Lines from front to back are counted from the wearer's right, whichever side they lie.
        swapped = self.direction is Direction.FRONT_TO_BACK
        return DrawnSection(
            corners, self.band_mm, self.direction.mirrored, self.from_high ^ swapped
        )

    @cached_property
    def middle(self) -> Floats:
        """Unit vector (3,) from the middle of the head to the middle of the section."""
        return cap_middle(self._toward)

    def reach_rad(self, head: Head) -> float:
        """The angle at the middle of the head that the section reaches from its own middle."""
        half_band = (self.band_mm or 0.0) / 2 / float(head.radius(self.middle))
        return float(np.arccos(np.clip(self._toward @ self.middle, -1, 1)).max()) + half_band

    def border(self, head: Head) -> Callable[[Floats], Floats]:
        """Distance inside the border in mm (...) for points (..., 3) of a head, positive inside.

        Straight distances; negative ones outside grow with the distance as well.
        """

        def inside(p: Floats) -> Floats:
            flat = p.reshape(-1, 3)
            distance = self._edge_mm(head, flat)
            if self.band_mm is not None:
                return (self.band_mm / 2 - distance).reshape(p.shape[:-1])
            return np.where(self._encloses(flat), distance, -distance).reshape(p.shape[:-1])

        return inside

    @cached_property
    def _toward(self) -> Floats:
        azimuth, elevation = np.array(self.corners).T
        return direction(azimuth, elevation)

    @cached_property
    def _edges(self) -> Arcs:
        """The border of an area, or the line of a band."""
        ends = np.roll(self._toward, -1, axis=0)
        if self.band_mm is None:
            return Arcs(self._toward, ends)
        return Arcs(self._toward[:-1], ends[:-1])

    @cached_property
    def _flat(self) -> Floats:
        """Corners (n, 2) on the plane that touches the head at the middle: edges are straight."""
        return self._on_plane(self._toward)

    def _on_plane(self, toward: Floats) -> Floats:
        axis = np.eye(3)[int(np.argmin(np.abs(self.middle)))]
        across = np.cross(self.middle, axis)
        across /= np.linalg.norm(across)
        plane = np.stack([across, np.cross(self.middle, across)], 1)
        return np.asarray(toward @ plane / np.maximum(toward @ self.middle, _SMALL)[..., None])

    def _encloses(self, p: Floats) -> Any:
        """Which points (n, 3) the closed area holds, by the even-odd rule."""
        within = p @ self.middle > 0
        at = self._on_plane(p)
        x, y = at[:, 0], at[:, 1]
        odd = np.zeros(len(p), bool)
        for (x0, y0), (x1, y1) in zip(self._flat, np.roll(self._flat, -1, axis=0), strict=True):
            if y0 != y1:
                odd ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
        return odd & within

    def _edge_mm(self, head: Head, p: Floats) -> Floats:
        """Straight distance (n,) from points (n, 3) to the edge that is nearest by angle."""
        foot = self._edges.nearest(p / lengths(p)[:, None])
        return lengths(p - foot * head.radius(foot)[:, None])

    def _check_count(self) -> None:
        if len(self.corners) > MOST_CORNERS:
            raise HeadError(
                f"The section has {len(self.corners)} corners. Use {MOST_CORNERS} at most."
            )
        if self.band_mm is None and len(self.corners) < 3:
            raise HeadError("A closed section needs at least three corners. Add the missing ones.")
        if len(self.corners) < 2:
            raise HeadError("A band needs a line of at least two points. Add the missing one.")

    def _check_apart(self) -> None:
        p = FEMALE_MEAN.surface(*np.array(self.corners).T)
        gap = np.linalg.norm(p[:, None] - p, axis=2) + np.where(np.eye(len(p)) > 0, np.inf, 0.0)
        one, two = np.unravel_index(int(gap.argmin()), gap.shape)
        if gap[one, two] < CLOSEST_MM:
            raise HeadError(
                f"Corners {one + 1} and {two + 1} lie {gap[one, two]:.1f} mm apart. "
                f"Leave one of them out, or set them {CLOSEST_MM:g} mm apart or more."
            )

    def _check_crossing(self) -> None:
        corners = self._flat
        count = len(corners)
        ends = np.roll(corners, -1, axis=0)
        for i in range(count):
            if folds_back(corners[i - 1], corners[i], ends[i]):
                raise HeadError(
                    f"The border runs back over itself at corner {i + 1}. Move that corner."
                )
            for j in range(i + 2, count - (i == 0)):
                if crossing(corners[i], ends[i], corners[j], ends[j]):
                    raise HeadError(
                        f"The border crosses itself: the line from corner {i + 1} meets the line "
                        f"from corner {j + 1}. Give the corners in order round the section."
                    )


_KEYS = {"corners", "band_mm", "direction", "from_high"}


def _corner(azimuth_deg: float, elevation_deg: float) -> tuple[float, float]:
    """A corner to two decimals, its azimuth brought to -180..180."""
    if not (math.isfinite(azimuth_deg) and math.isfinite(elevation_deg)):
        raise HeadError("A corner is two numbers in degrees, for example 120 and 50.")
    if abs(elevation_deg) > 90:
        raise HeadError(
            f"An elevation of {elevation_deg:g} degrees is beyond straight up or down. "
            "Give -90 to 90 degrees, for example 50."
        )
    azimuth = round((round(azimuth_deg, 2) + 180) % 360 - 180, 2)
    return azimuth, round(elevation_deg, 2)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_pair(value: object) -> bool:
    if not isinstance(value, Sequence) or isinstance(value, str):
        return False
    return len(value) == 2 and all(_is_number(part) for part in value)
