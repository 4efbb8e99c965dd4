"""Arcs between directions, and pieces of straight lines on a plane."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from academy.craft.head.shape import Floats

_SMALL = 1e-9
_MIDDLE_STEPS = 200
_STRAIGHT_BACK = 1e-3  # sine of the angle under which a line counts as running back over itself


def cap_middle(toward: Floats) -> Floats:
    """The middle (3,), a unit vector, of about the smallest cap that holds unit vectors (n, 3).

    By ever smaller steps towards the vector that lies furthest off.
    """
    middle = toward.mean(0)
    for step in range(2, _MIDDLE_STEPS):
        far = toward[int((toward @ middle).argmin())]
        middle = middle + (far - middle) / step
    size = float(np.linalg.norm(middle))
    return np.asarray(middle / size if size > _SMALL else toward[0])


@dataclass(frozen=True, eq=False)
class Arcs:
    """Shortest arcs between unit vectors: their ends, and the planes that hold them."""

    starts: Floats  # (arcs, 3)
    ends: Floats

    @cached_property
    def normals(self) -> Floats:
        """Unit vectors (arcs, 3) square to the plane of each arc."""
        normals = np.cross(self.starts, self.ends)
        return np.asarray(normals / np.linalg.norm(normals, axis=1, keepdims=True))

    def nearest(self, toward: Floats) -> Floats:
        """Unit vectors (n, 3) on whichever arc is nearest to unit vectors (n, 3)."""
        off = toward @ self.normals.T
        between = (toward @ np.cross(self.normals, self.starts).T >= 0) & (
            toward @ np.cross(self.ends, self.normals).T >= 0
        )
        to_start, to_end = toward @ self.starts.T, toward @ self.ends.T
        on_arc = np.sqrt(np.maximum(1 - off**2, 0.0))
        cosine = np.where(between, on_arc, np.maximum(to_start, to_end))
        each, arc = np.arange(len(toward)), cosine.argmax(1)
        foot = toward - off[each, arc, None] * self.normals[arc]
        foot /= np.maximum(on_arc[each, arc, None], _SMALL)
        nearer_end = (to_start > to_end)[each, arc, None]
        end = np.where(nearer_end, self.starts[arc], self.ends[arc])
        return np.asarray(np.where(between[each, arc, None], foot, end))


def _side(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def crossing(a: Floats, b: Floats, c: Floats, d: Floats) -> bool:
    """Whether two straight pieces share a point."""
    one, two, three, four = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if one == two == 0:  # all on one line
        low, high = np.minimum(a, b), np.maximum(a, b)
        return bool((np.maximum(c, d) >= low).all() and (np.minimum(c, d) <= high).all())
    return one * two <= 0 and three * four <= 0


def folds_back(before: Floats, corner: Floats, after: Floats) -> bool:
    """Whether the border turns straight back at a corner."""
    one, two = before - corner, after - corner
    size = float(np.linalg.norm(one) * np.linalg.norm(two))
    turned = abs(float(one[0] * two[1] - one[1] * two[0]))
    return turned < _STRAIGHT_BACK * size and float(one @ two) > 0
