"""How a drawn section is laid on a head: the lines it is parted along, and its outline."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.contours import contours
from academy.craft.head.drawn import Direction, DrawnSection
from academy.craft.head.fields import EarToEar, Field, Horizontal, Planes
from academy.craft.head.lines import length_mm

if TYPE_CHECKING:
    from collections.abc import Callable

    from academy.craft.head.shape import Floats, Head

_GRID = 121  # lines each way over the section
_MARGIN = 1.15  # of the section's reach


def drawn_field(drawn: DrawnSection, head: Head) -> Field:
    """The lines along which a section is parted."""
    x, y, z = drawn.middle.tolist()
    if drawn.direction is Direction.LEVEL:
        return Horizontal.behind(head) if y < 0 else Horizontal(head)
    if drawn.direction is Direction.EAR_TO_EAR:
        return EarToEar(head, all_round=True)
    if drawn.direction is Direction.FRONT_TO_BACK:
        return Planes(head, (1.0, 0.0, 0.0), (x, y, z), (0.0, -1.0, 0.0))
    right, up = _seen(head, drawn.middle)
    along = up + right if drawn.direction is Direction.RISING else right - up
    normal = up - right if drawn.direction is Direction.RISING else up + right
    return Planes(head, _unit(normal), (x, y, z), _unit(along))


def drawn_outlines(
    drawn: DrawnSection, head: Head, inside: Callable[[Floats], Floats]
) -> list[Floats]:
    """Closed lines (n, 3) in mm around the parts of a section where `inside` is positive.

    The longest first; none where nothing is.
    """
    reach = drawn.reach_rad(head) * _MARGIN
    across = np.cross(drawn.middle, np.eye(3)[int(np.argmin(np.abs(drawn.middle)))])
    across /= np.linalg.norm(across)
    frame = np.stack([across, np.cross(drawn.middle, across), drawn.middle])

    def on_head(u: Floats, v: Floats) -> Floats:
        """Surface points under a flat map, true to angles, with the section's middle in its own."""
        square = u * u + v * v
        toward = np.stack([2 * u, 2 * v, 1 - square], -1) / (1 + square)[..., None] @ frame
        return np.asarray(toward * head.radius(toward)[..., None])

    side = np.linspace(-np.tan(reach / 2), np.tan(reach / 2), _GRID)
    rings = contours(side, side, inside(on_head(*np.meshgrid(side, side))))
    found = [on_head(ring[:, 0], ring[:, 1]) for ring in rings]
    return sorted(found, key=length_mm, reverse=True)


def _seen(head: Head, middle: Floats) -> tuple[Floats, Floats]:
    """Right and up as one looks straight at a place, unit vectors; up is the front on top."""
    normal = head.normal(middle * head.radius(middle))
    on_top = normal[2] >= np.abs(normal[:2]).max()
    up = np.array([0.0, 1.0, 0.0] if on_top else [0.0, 0.0, 1.0])
    up -= (up @ normal) * normal
    up /= np.linalg.norm(up)
    return np.cross(normal, up), up  # the frame is left-handed


def _unit(v: Floats) -> tuple[float, float, float]:
    x, y, z = (v / np.linalg.norm(v)).tolist()
    return x, y, z
