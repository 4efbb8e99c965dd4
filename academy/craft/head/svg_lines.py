"""Lines of a plan carried to the sheet's head, seen by all five views at once, and written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.lines import lengths
from academy.craft.head.paths import LATER, number
from academy.craft.head.sheet import SHEET_HEAD, VIEWS, view_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from academy.craft.head.shape import Floats, Head

# Written as the mirror image of the left, so that both come to the same text and pack together.
FLIPPED = frozenset({"right"})
STRIP_POINTS = 7  # a strip is drawn as one curve through four places
SEEN_FROM = 0.12  # View.facing from which a piece of a line is drawn
SEEN_OBLIQUELY = 0.3  # a line turned away more than this is left to its better view

_SIGNS = {view: (-1.0 if view in FLIPPED else 1.0, -1.0) for view in VIEWS}
_TOWARD = np.array([view_of(view).toward for view in VIEWS], float).T  # (3, views)
_AXES = np.array(
    [
        [sign * part for part in axis]
        for view in VIEWS
        for sign, axis in zip(_SIGNS[view], (view_of(view).right, view_of(view).up), strict=True)
    ],
    float,
).T  # (3, 2 x views)
_FIFTHS = 5  # in a millimetre: curves are written in fifths, 20 hundredths
_STRAIGHT_MM = 0.2  # what bends less is drawn straight; a quarter of a pixel on a desktop
_ALIKE = 1e-9


def on_sheet(points: Floats, head: Head) -> Floats:
    """Points (..., 3) of a head carried to the sheet's by azimuth and elevation."""
    factor = SHEET_HEAD.length_mm / head.length_mm
    wider = abs(head.breadth_mm * factor - SHEET_HEAD.breadth_mm)
    higher = abs(head.tragion_top_mm * factor - SHEET_HEAD.tragion_top_mm)
    if max(wider, higher) < _ALIKE * SHEET_HEAD.length_mm:
        return points * factor  # the same shape, larger or smaller
    toward = points / lengths(points)[..., None]
    return np.asarray(toward * SHEET_HEAD.radius(toward)[..., None])


def seen(points: Floats) -> tuple[Floats, Floats]:
    """How the views see points (..., 3) of the sheet's head.

    x, y as written into each view's layers (views, ..., 2), x leftwards in a flipped one, and how
    squarely each is seen (views, ...).
    """
    xy = (points @ _AXES).reshape(*points.shape[:-1], len(VIEWS), 2)
    facing = SHEET_HEAD.normal(points) @ _TOWARD
    return np.moveaxis(xy, -2, 0), np.moveaxis(facing, -1, 0)


@dataclass(frozen=True, eq=False)
class Strips:
    """Lines of STRIP_POINTS points on the sheet's head, and how each view sees them."""

    xy: Floats  # (views, n, STRIP_POINTS, 2), as `seen`
    facing: Floats  # (views, n, STRIP_POINTS)
    means: Floats  # (views, n), facing over the whole line
    best: list[int]  # place in VIEWS of the view that sees each line most squarely
    shown: NDArray[np.bool_]  # (views, n), whether a view draws the line

    @classmethod
    def of(cls, points: Floats, head: Head) -> Strips:
        """Lines (n, STRIP_POINTS, 3) of a head."""
        xy, facing = seen(on_sheet(points, head))
        means = facing.mean(2)
        best = means.argmax(0)
        shown = means > SEEN_OBLIQUELY
        shown[best, np.arange(len(best))] = True
        return cls(xy, facing, means, best.tolist(), shown)

    def drawn(self, view: str) -> list[int]:
        """Places of the lines that a view shows."""
        places: list[int] = np.flatnonzero(self.shown[VIEWS.index(view)]).tolist()
        return places


def curves(strips: Strips) -> dict[str, dict[int, str]]:
    """For each view the seen part of each line it shows: one cubic curve through four points."""
    view, line = np.nonzero(strips.shown)
    low, high = _seen_span(strips.facing[view, line])
    at = low[:, None] + (high - low)[:, None] * np.array([0.0, 1 / 3, 2 / 3, 1.0])
    whole = np.minimum(at.astype(int), STRIP_POINTS - 2)
    rest = (at - whole)[..., None]
    v, i = view[:, None], line[:, None]
    p = strips.xy[v, i, whole] * (1 - rest) + strips.xy[v, i, whole + 1] * rest
    ends = np.empty_like(p)
    ends[:, 0], ends[:, 3] = p[:, 0], p[:, 3]
    ends[:, 1] = (-5 * p[:, 0] + 18 * p[:, 1] - 9 * p[:, 2] + 2 * p[:, 3]) / 6
    ends[:, 2] = (2 * p[:, 0] - 9 * p[:, 1] + 18 * p[:, 2] - 5 * p[:, 3]) / 6
    fifths = np.rint(ends * _FIFTHS)
    start, steps = fifths[:, 0], fifths[:, 1:] - fifths[:, :1]
    across = steps[:, :2, 0] * steps[:, 2:, 1] - steps[:, :2, 1] * steps[:, 2:, 0]
    bent = np.abs(across).max(1) > _STRAIGHT_MM * _FIFTHS * lengths(steps[:, 2])
    rows = (np.concatenate([start, steps.reshape(-1, 6)], 1) * (100 // _FIFTHS)).astype(int)
    found: dict[str, dict[int, str]] = {name: {} for name in VIEWS}
    where = zip(view.tolist(), line.tolist(), bent.tolist(), rows.tolist(), strict=True)
    for place, n, curved, (x, y, a, b, c, d, e, f) in where:
        if curved:
            steps_words = f"c{number(a)}{LATER[b]}{LATER[c]}{LATER[d]}{LATER[e]}{LATER[f]}"
        else:
            steps_words = f"l{number(e)}{LATER[f]}" if f else f"h{number(e)}"
        found[VIEWS[place]][n] = f"M{number(x)}{LATER[y]}{steps_words}"
    return found


def _seen_span(facing: Floats) -> tuple[Floats, Floats]:
    """From where to where (n,), in points, each line faces the viewer."""
    visible = facing > SEEN_FROM
    first, last = visible.argmax(1), STRIP_POINTS - 1 - visible[:, ::-1].argmax(1)
    row = np.arange(len(facing))

    def edge(inner: NDArray[np.intp], outer: NDArray[np.intp]) -> Floats:
        """How far beyond the last seen point, 0..1, the line turns away."""
        a, b = facing[row, inner], facing[row, outer]
        turning = np.abs(a - b) > _ALIKE
        return np.where(turning, (a - SEEN_FROM) / np.where(turning, a - b, 1.0), 0.0)

    before, after = np.maximum(first - 1, 0), np.minimum(last + 1, STRIP_POINTS - 1)
    low = np.where(first > 0, first - edge(first, before), 0.0)
    high = np.where(last < STRIP_POINTS - 1, last + edge(last, after), STRIP_POINTS - 1.0)
    return low, high
