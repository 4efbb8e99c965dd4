"""Hairline and zones: which zone a place lies in, and how much of the hair each zone holds.

Borders are declared, not measured. The ear line (a plane through both ears) parts front from
back; the ridge plane, through the recession points of the average hairline and the back midline,
parts top, fringe and crown from what lies below; the fringe is a triangle between the recession
points and a place behind the front hairline; the height of the inion parts occipital from nape.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.hairlines import AVERAGE, HAIRLINES, Hairline
from academy.craft.head.lines import along_mm, clipped, clipped_longest, length_mm, nearest_mm
from academy.craft.head.shape import Floats, Head, azimuth_elevation

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = [
    "AVERAGE",
    "BARE",
    "HAIRLINES",
    "PERIMETER_MM",
    "ZONES",
    "Cells",
    "Hairline",
    "Zone",
    "Zones",
    "zones_of",
]

# The ridge is bone: it stays where it is when the hairline draws back.
RIDGE_FRONT_DEG = (38.0, 38.0)  # azimuth and elevation at which it begins, both sides
RIDGE_BACK_ELEVATION_DEG = 24.0  # where the ridge plane meets the back midline
FRINGE_DEPTH_MM = 55.0  # the fringe triangle's apex, behind the hairline along the midline
PERIMETER_MM = 15.0  # hair nearer to the hairline than this is the hairline perimeter; declared

_FAR_MM = 1e3
_EDGE_STEP_DEG = 0.5
_POINTS_AT_ONCE = 4096  # keeps the table of distances small


class Zone(StrEnum):
    """A zone of the hair, in the order in which zones are listed everywhere."""

    FRINGE = "fringe"
    TOP = "top"
    CROWN = "crown"
    SIDE_LEFT = "side_left"
    SIDE_RIGHT = "side_right"
    OCCIPITAL = "occipital"
    NAPE = "nape"

    @property
    def words(self) -> str:
        """The zone as people say it, for example "left side"."""
        return _WORDS.get(self, self.value)

    @property
    def mirrored(self) -> Zone:
        """The same zone on the other side of the head."""
        return _MIRRORED.get(self, self)


_WORDS = {Zone.SIDE_LEFT: "left side", Zone.SIDE_RIGHT: "right side"}
_MIRRORED = {Zone.SIDE_LEFT: Zone.SIDE_RIGHT, Zone.SIDE_RIGHT: Zone.SIDE_LEFT}
ZONES = tuple(Zone)
BARE = -1  # code of bare skin; other codes are places in ZONES
_CODE = {zone: code for code, zone in enumerate(ZONES)}


@dataclass(frozen=True)
class Cells:
    """The hair of a head in small pieces."""

    points: Floats  # (n, 3), mm
    cm2: Floats  # (n,)
    codes: NDArray[np.int8]  # (n,) places in ZONES


@dataclass(frozen=True)
class Zones:
    """The zone borders of one head with one hairline.

    Functions of points (..., 3) on the surface give, about in mm, how far inside a border each
    point lies: positive inside, negative outside.
    """

    head: Head
    hairline: Hairline = AVERAGE

    @cached_property
    def recession(self) -> Floats:
        """The left recession point (3,), mm."""
        return self.hairline.curve(self.head, self.hairline.recession_deg)

    @cached_property
    def ridge(self) -> tuple[Floats, float]:
        """The ridge plane as unit normal and offset: above it p @ normal > offset."""
        front = self.head.surface(*RIDGE_FRONT_DEG)
        back = self.head.surface(180.0, RIDGE_BACK_ELEVATION_DEG)
        normal = np.cross([1.0, 0.0, 0.0], front - back)
        normal *= np.sign(normal[2]) / np.linalg.norm(normal)
        return normal, float(normal @ front)

    @cached_property
    def fringe_apex(self) -> Floats:
        """The back corner (3,) of the fringe triangle, mm."""
        rise = np.linspace(float(self.hairline.at(0.0)), 90.0, 400)
        midline = self.head.surface(0.0, rise)
        return np.asarray(midline[np.searchsorted(along_mm(midline), FRINGE_DEPTH_MM)])

    def hair(self, p: Floats) -> Floats:
        """Above the hairline, mm along the surface; negative on bare skin."""
        azimuth, elevation = azimuth_elevation(p)
        above = np.radians(elevation - self.hairline.at(azimuth))
        return np.asarray(above * np.linalg.norm(p, axis=-1))

    def above_ridge(self, p: Floats) -> Floats:
        """On the horseshoe, or anywhere between the front ends of the ridge."""
        normal, offset = self.ridge
        azimuth, _ = azimuth_elevation(p)
        flat = np.hypot(p[..., 0], p[..., 1])
        between = np.radians(RIDGE_FRONT_DEG[0] - np.abs(azimuth)) * flat
        return np.maximum(p @ normal - offset, np.where(p[..., 1] > 0, between, -_FAR_MM))

    def front(self, p: Floats) -> Floats:
        """Before the ear line."""
        return np.asarray(p[..., 1] - self.head.tragion_y)

    def triangle(self, p: Floats) -> Floats:
        """In the fringe triangle, seen in plan."""
        apex_y, (corner_x, corner_y, _) = self.fringe_apex[1], self.recession
        return np.asarray(p[..., 1] - apex_y - (corner_y - apex_y) * np.abs(p[..., 0]) / corner_x)

    def inside(self, zone: Zone, p: Floats) -> Floats:
        """In one zone."""
        up, front, back = self.above_ridge(p), self.front(p), -self.front(p)
        above_nape = p[..., 2] - self.head.inion_z
        borders = {
            Zone.FRINGE: (up, front, self.triangle(p)),
            Zone.TOP: (up, front, -self.triangle(p)),
            Zone.CROWN: (up, back),
            Zone.SIDE_LEFT: (-up, front, p[..., 0]),
            Zone.SIDE_RIGHT: (-up, front, -p[..., 0]),
            Zone.OCCIPITAL: (-up, back, above_nape),
            Zone.NAPE: (-up, back, -above_nape),
        }
        return np.asarray(np.minimum.reduce([self.hair(p), *borders[zone]]))

    def codes(self, p: Floats) -> NDArray[np.int8]:
        """Place in ZONES (...) of every surface point, BARE on bare skin."""
        return np.where(self.hair(p) > 0, self.nearest_codes(p), BARE).astype(np.int8)

    def nearest_codes(self, p: Floats) -> NDArray[np.int8]:
        """Place in ZONES (...) of every surface point as if there were hair everywhere."""
        up, front = self.above_ridge(p) > 0, self.front(p) > 0
        upper = np.where(
            front & (self.triangle(p) > 0),
            _CODE[Zone.FRINGE],
            np.where(front, _CODE[Zone.TOP], _CODE[Zone.CROWN]),
        )
        side = np.where(p[..., 0] > 0, _CODE[Zone.SIDE_LEFT], _CODE[Zone.SIDE_RIGHT])
        back = np.where(p[..., 2] > self.head.inion_z, _CODE[Zone.OCCIPITAL], _CODE[Zone.NAPE])
        return np.where(up, upper, np.where(front, side, back)).astype(np.int8)

    def zone_at(self, azimuth_deg: float, elevation_deg: float) -> Zone | None:
        """The zone of a place, None on bare skin."""
        code = int(self.codes(self.head.surface(azimuth_deg, elevation_deg)))
        return None if code == BARE else ZONES[code]

    @cached_property
    def cells(self) -> Cells:
        """The hair in cells of one degree by one degree, left half first, then its mirror image."""
        azimuth, elevation = (
            grid.ravel() for grid in np.meshgrid(np.arange(0.5, 180), np.arange(-55.5, 90))
        )
        edge = self.hairline.at(azimuth)
        covered = np.clip(elevation + 0.5 - edge, 0, 1)  # part of the cell above the hairline
        hair = covered > 0
        azimuth, elevation, edge = azimuth[hair], elevation[hair], edge[hair]
        left = self.head.surface(azimuth, np.maximum(elevation, edge + 0.01))
        cm2 = _square_degree_mm2(self.head, left, elevation) * covered[hair] / 100
        points = np.concatenate([left, left * np.array([-1.0, 1.0, 1.0])])
        return Cells(points, np.concatenate([cm2, cm2]), self.codes(points))

    @cached_property
    def areas(self) -> dict[Zone, float]:
        """Area of every zone in cm2, not rounded; about 0.5 per cent from the cells."""
        cells = self.cells
        totals = np.bincount(cells.codes, cells.cm2, minlength=len(ZONES))
        return {zone: float(totals[code]) for zone, code in _CODE.items()}

    @cached_property
    def scalp_cm2(self) -> float:
        """Area of all hair, cm2."""
        return sum(self.areas.values())

    @cached_property
    def shares(self) -> dict[Zone, float]:
        """Share of all hair that lies in each zone; the shares add up to 1."""
        return {zone: cm2 / self.scalp_cm2 for zone, cm2 in self.areas.items()}

    def hairline_mm(self, p: Floats) -> Floats:
        """Straight distance (...) in mm from points (..., 3) to the nearest of the hairline."""
        edge = self.hairline.curve(self.head, np.arange(0.0, 180.1, _EDGE_STEP_DEG))
        left = np.abs(p.reshape(-1, 3)[:, :1]), p.reshape(-1, 3)[:, 1:]  # both halves are alike
        parts = np.array_split(np.concatenate(left, 1), max(1, p.size // _POINTS_AT_ONCE))
        return np.concatenate([nearest_mm(part, edge) for part in parts]).reshape(p.shape[:-1])

    @cached_property
    def perimeter_cm2(self) -> float:
        """Hair nearer to the hairline than PERIMETER_MM, all round; lies across the zones, cm2."""
        left = len(self.cells.points) // 2
        near = self.hairline_mm(self.cells.points[:left]) < PERIMETER_MM
        return 2 * float(self.cells.cm2[:left][near].sum())

    def covered(self, inside: Floats) -> dict[Zone, float]:
        """Share of each zone on which `inside` (one value for each cell) is positive."""
        cells = self.cells
        part = np.bincount(cells.codes, cells.cm2 * (inside > 0), minlength=len(ZONES))
        return {zone: float(part[_CODE[zone]]) / cm2 for zone, cm2 in self.areas.items()}

    def arcs_mm(self) -> dict[str, float]:
        """The main lines of the head in mm, each as a tape on the hair would follow it."""
        head, (normal, offset) = self.head, self.ridge
        x, around = np.array([1.0, 0.0, 0.0]), np.linspace(-180, 180, 1441)
        over = np.linspace(20, 250, 1381)  # from the forehead over the top, as one angle
        midline = head.surface(
            np.where(over > 90, 180.0, 0.0), np.where(over > 90, 180 - over, over)
        )
        midline = clipped_longest(midline, self.hair(midline))
        ears = head.ear_plane_curve(0.0, 721)
        ridge = head.plane_curve(normal * offset, x, np.cross(normal, x), 2881)
        nape = head.ring(head.inion_z, around + 180)  # from the front, so that the back is one run
        return {
            "midline": length_mm(midline),
            "midline before the ear line": length_mm(clipped_longest(midline, self.front(midline))),
            "ear to ear": length_mm(clipped_longest(ears, self.hair(ears))),
            "horseshoe behind the ear line": self._hair_mm(ridge, -self.front(ridge)),
            "horseshoe before the ear line": self._hair_mm(ridge, self.front(ridge)),
            "occipital line": self._hair_mm(nape, -self.front(nape)),
            "hairline": length_mm(self.hairline.curve(head, around)),
        }

    def _hair_mm(self, line: Floats, keep: Floats) -> float:
        """Length of all parts of a line that lie on hair and where `keep` is positive."""
        return sum(length_mm(run) for run in clipped(line, np.minimum(keep, self.hair(line))))


def zones_of(head: Head, hairline: Hairline = AVERAGE) -> Zones:
    """The zones of a head with a hairline, kept so that areas are computed once."""
    return _zones_of(head, hairline)


@lru_cache(maxsize=32)
def _zones_of(head: Head, hairline: Hairline) -> Zones:
    return Zones(head, hairline)


def _square_degree_mm2(head: Head, p: Floats, elevation_deg: Floats) -> Floats:
    """Surface area around each point that the origin sees in one degree by one degree."""
    r2 = np.sum(p * p, -1)
    facing = np.sum(head.normal(p) * p, -1) / np.sqrt(r2)
    return np.asarray(r2 * np.cos(np.radians(elevation_deg)) * np.radians(1.0) ** 2 / facing)
