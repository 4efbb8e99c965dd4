"""The head sheet: five straight-on views, and the two ways between a place on the head and paper.

All sheets show one head, the mean woman's. A place is kept as azimuth and elevation, so a mark
made on any head appears at the same spot of every sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.shape import FEMALE_MEAN, Floats, HeadError, azimuth_elevation
from academy.craft.head.zones import ZONES, Zone, zones_of

if TYPE_CHECKING:
    from collections.abc import Mapping

SHEET_HEAD = FEMALE_MEAN
SHEET_ZONES = zones_of(SHEET_HEAD)

VIEWS = ("left", "front", "right", "top", "back")
VIEW_TITLES: Mapping[str, str] = MappingProxyType(
    {
        "left": "Left side",
        "front": "Front",
        "right": "Right side",
        "top": "Top, front upwards",
        "back": "Back",
    }
)

_ON_SURFACE = 1e-4
_RAY_STEPS = (8, 40)  # a ray that grazes the silhouette converges slowly
_CONVERGED = 1e-9


@dataclass(frozen=True)
class View:
    """One view. On paper u runs to the right and v upwards, both in mm on the sheet's head.

    Seen as one sees a person: the left side with the face pointing left, the front with the
    wearer's left on the viewer's right, and from above, front up, the wearer's left on the left.
    """

    name: str
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    toward: tuple[float, float, float]  # from the head to the viewer

    def paper(self, p: Floats) -> Floats:
        """u and v (..., 2) of points (..., 3)."""
        return np.asarray(p @ np.array([self.right, self.up]).T)

    def facing(self, normals: Floats) -> Floats:
        """How squarely a surface is seen: 1 squarely, 0 at the silhouette, negative behind."""
        return np.asarray(normals @ np.array(self.toward))


_VIEWS = {
    view.name: view
    for view in (
        View("left", (0, -1, 0), (0, 0, 1), (1, 0, 0)),
        View("front", (1, 0, 0), (0, 0, 1), (0, 1, 0)),
        View("right", (0, 1, 0), (0, 0, 1), (-1, 0, 0)),
        View("top", (-1, 0, 0), (0, 1, 0), (0, 0, 1)),
        View("back", (-1, 0, 0), (0, 0, 1), (0, -1, 0)),
    )
}


@dataclass(frozen=True)
class Place:
    """A place on a head: degrees to two decimals (0.02 mm), and its zone, None on bare skin."""

    azimuth_deg: float
    elevation_deg: float
    zone: Zone | None

    @classmethod
    def at(cls, azimuth_deg: float, elevation_deg: float) -> Place:
        """The place at these angles, azimuth brought to -180..180, with the zone it lies in."""
        # Rounded first: 179.999 and 180 are one place, written -180.
        azimuth = round((round(azimuth_deg, 2) + 180) % 360 - 180, 2)
        elevation = round(elevation_deg, 2)
        return cls(azimuth, elevation, SHEET_ZONES.zone_at(azimuth, elevation))


def view_of(name: str) -> View:
    """The view of this name; HeadError for a name that is not one of VIEWS."""
    view = _VIEWS.get(name)
    if view is None:
        raise HeadError(f"There is no view “{name}”. Choose one of {', '.join(VIEWS)}.")
    return view


def place(view: str, azimuth_deg: float, elevation_deg: float) -> tuple[float, float, float]:
    """u, v in mm and how squarely the place is seen there (`View.facing`)."""
    seen = view_of(view)
    p = SHEET_HEAD.surface(azimuth_deg, elevation_deg)
    u, v = seen.paper(p).tolist()
    return u, v, float(seen.facing(SHEET_HEAD.normal(p)))


def locate(view: str, u: float, v: float) -> Place | None:
    """The place under a point of a view in mm, or None beside the head; skin has no zone."""
    seen = view_of(view)
    if not (abs(u) <= SHEET_HEAD.length_mm and abs(v) <= SHEET_HEAD.length_mm):
        return None
    base = u * np.array(seen.right, float) + v * np.array(seen.up, float)
    p, off = base, 1.0
    for steps in _RAY_STEPS:
        if off > _CONVERGED:
            p = SHEET_HEAD.ray(base, np.array(seen.toward, float), steps=steps)
            off = abs(float(SHEET_HEAD.level(p)) - 1)
    if off > _ON_SURFACE:
        return None
    azimuth, elevation = azimuth_elevation(p)
    return Place.at(float(azimuth), float(elevation))


def best_view(at: Place) -> str:
    """The view that sees a place most squarely."""
    normal = SHEET_HEAD.normal(SHEET_HEAD.surface(at.azimuth_deg, at.elevation_deg))
    return max(VIEWS, key=lambda name: float(_VIEWS[name].facing(normal)))


def nudge(at: Place, up_mm: float, across_mm: float, *, view: str | None = None) -> Place:
    """Move a place on paper, up and to the right, in a view (the best one when none is named).

    A place that would leave the drawn head stays where it is, as does one the view does not see.
    """
    seen = view or best_view(at)
    u, v, facing = place(seen, at.azimuth_deg, at.elevation_deg)
    moved = locate(seen, u + across_mm, v + up_mm) if facing > 0 else None
    return moved or at


@lru_cache(maxsize=len(ZONES))
def zone_centre(zone: Zone) -> Place:
    """The middle of a zone by area."""
    cells = SHEET_ZONES.cells
    here = cells.codes == ZONES.index(zone)
    azimuth, elevation = azimuth_elevation(cells.cm2[here] @ cells.points[here])
    return Place.at(float(azimuth), float(elevation))
