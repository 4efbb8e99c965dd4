"""The borders of a plan's sections as SVG, where they are not the borders of zones anyway."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.lines import lengths
from academy.craft.head.paths import run
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.sheet import SHEET_HEAD, VIEWS
from academy.craft.head.svg_lines import SEEN_FROM, on_sheet, seen
from academy.craft.head.zones import zones_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from academy.craft.head.plans import Plan
    from academy.craft.head.shape import Floats

_OFF_HAIRLINE_MM = 1.0  # the hairline is drawn already
_HEAD_MM = 90.0
_JUMP_MM = 14.0  # further than this a border has leapt over a notch of the hairline
_TURN = 0.12  # radians: between two points kept the line turns about so much
_TENTHS = 10  # in a millimetre


def section_layer(view: str, plan: Plan) -> str:
    """The borders that a view shows."""
    return _borders(plan)[view]


@lru_cache(maxsize=128)
def _borders(plan: Plan) -> dict[str, str]:
    found = dict.fromkeys(VIEWS, "")
    if not PATTERNS[plan.pattern].own_borders:
        return found
    css = "hd-fine hd-section" if plan.foils else "hd-edge hd-section"
    outlines = [section.outline for section in plan.sections if len(section.outline)]
    if not outlines:
        return found
    closed = [part for outline in outlines for part in (outline, outline[:1])]
    last = np.cumsum([len(outline) + 1 for outline in outlines]) - 1
    points, ends = _thinned(on_sheet(np.concatenate(closed), plan.head), last)
    xy, facing = seen(points)
    hair = (zones_of(SHEET_HEAD, plan.hairline).hair(points) - _OFF_HAIRLINE_MM) / _HEAD_MM
    keep = np.minimum(facing - SEEN_FROM, hair)  # both about as steep, so that cuts fall right
    for view, paths in zip(VIEWS, _paths(xy, keep, ends), strict=True):
        if paths:
            found[view] = f'<path class="{css}" d="{paths}"/>'
    return found


def _thinned(points: Floats, last: NDArray[np.intp]) -> tuple[Floats, NDArray[np.bool_]]:
    """Lines one behind the other, each up to its last place, without points that are not needed.

    With each point whether a line ends there: also before a leap.
    """
    step = np.diff(points, axis=0)
    long = lengths(step)
    unit = step / np.maximum(long, 1e-9)[:, None]
    turn = np.arccos(np.clip(np.einsum("ij,ij->i", unit[1:], unit[:-1]), -1.0, 1.0))
    turned = np.cumsum(turn) // _TURN
    ends = np.append(long > _JUMP_MM, True)
    ends[last] = True
    keep = ends.copy()
    keep[0] = True
    keep[1:] |= ends[:-1]
    keep[2:-1] |= turned[1:] != turned[:-1]
    return points[keep], ends[keep]


def _paths(xy: Floats, keep: Floats, ends: NDArray[np.bool_]) -> list[str]:
    """For each view the pieces of the lines on which `keep` (views, n) is not negative."""
    views, n = keep.shape
    inside = keep >= 0
    crosses = (inside[:, 1:] != inside[:, :-1]) & ~ends[:-1]
    view, edge = np.nonzero(crosses)
    a, b = keep[view, edge], keep[view, edge + 1]
    cuts = xy[view, edge] + (a / (a - b))[:, None] * (xy[view, edge + 1] - xy[view, edge])
    seen_view, seen_at = np.nonzero(inside)
    # In order along the lines: whole points at even places, cuts between them at odd ones.
    order = np.concatenate([(seen_view * n + seen_at) * 2, (view * n + edge) * 2 + 1])
    ending = np.concatenate([ends[seen_at], inside[view, edge]])
    place = np.argsort(order)
    drawn = np.rint(np.concatenate([xy[seen_view, seen_at], cuts])[place] * _TENTHS).astype(int)
    rows: list[list[int]] = (drawn * (100 // _TENTHS)).tolist()
    steps: list[int] = (np.diff(drawn, axis=0) * (100 // _TENTHS)).ravel().tolist()
    breaks = np.flatnonzero(ending[place]).tolist()
    found, start = [""] * views, 0
    where = np.concatenate([seen_view, view])[place].tolist()
    for end in breaks:
        if end > start:
            found[where[start]] += f"M{run(rows[start])}l{run(steps[2 * start : 2 * end])}"
        start = end + 1
    return found
