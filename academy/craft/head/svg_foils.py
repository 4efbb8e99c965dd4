"""Sections, partings and numbered foils of a plan as SVG. What a view shows of a plan is kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.foils import FOIL_POINTS, Plan
from academy.craft.head.lines import along_mm, clipped, thinned
from academy.craft.head.paths import hundredths, run
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.shape import Floats, azimuth_elevation
from academy.craft.head.sheet import SHEET_HEAD, SHEET_ZONES, VIEWS, view_of

if TYPE_CHECKING:
    from collections.abc import Iterable

# Written as the mirror image of the left, so that both come to the same text and pack together.
FLIPPED = frozenset({"right"})
SEEN_FROM = 0.12  # View.facing from which a piece of a foil is drawn
SEEN_OBLIQUELY = 0.3  # a foil turned away more than this is left to its better view
CLOSE_MM = 7.0  # partings nearer than this have narrow foils, or foils would hide each other

_SECTION_TOLERANCE_MM = 0.25
_OFF_HAIRLINE_MM = 1.0  # the hairline is drawn already
_HEAD_MM = 90.0
_JUMP_MM = 14.0  # further than this a border has leapt over a notch of the hairline
_TENTH, _FIFTH = 10, 20  # hundredths
_STRAIGHT = 20  # hundredths of a millimetre, a quarter of a pixel on a desktop


@dataclass(frozen=True, eq=False)
class Strips:
    """Lines of FOIL_POINTS points on the sheet's head, and how each view sees them."""

    points: Floats  # (n, FOIL_POINTS, 3), mm
    facing: dict[str, Floats]  # view -> (n, FOIL_POINTS)
    best: list[str]  # view that sees each line most squarely

    def drawn(self, view: str) -> list[int]:
        """Places of the lines that a view shows."""
        mean = self.facing[view].mean(1).tolist()
        return [i for i, best in enumerate(self.best) if best == view or mean[i] > SEEN_OBLIQUELY]


@lru_cache(maxsize=640)
def foil_layer(view: str, plan: Plan) -> str:
    """The foils that a view shows, later ones over earlier ones, each in a group of its own."""
    if not plan.foils:
        return ""
    strips = foil_strips(plan)
    bars = "".join(
        f'<g data-foil="{plan.foils[i].number}">'
        f'<path class="hd-foil-edge" d="{path}"/><path class="hd-foil" d="{path}"/></g>'
        for i, path in _cubics(view, strips, strips.drawn(view)).items()
    )
    return f'<g class="hd-close">{bars}</g>' if plan.settings.pitch_mm < CLOSE_MM else bars


def numbers_seen(view: str, plan: Plan) -> tuple[int, ...]:
    """The numbers of the foils that a view shows, rising."""
    if not plan.foils:
        return ()
    return tuple(plan.foils[i].number for i in foil_strips(plan).drawn(view))


@lru_cache(maxsize=640)
def section_layer(view: str, plan: Plan) -> str:
    """The borders of a plan's sections, where they are not borders of zones anyway."""
    drawn = plan.sections if PATTERNS[plan.pattern].own_borders else ()
    borders = "".join(_seen_outline(view, section.outline) for section in drawn)
    return _path("hd-fine hd-section" if plan.foils else "hd-edge hd-section", borders)


@lru_cache(maxsize=640)
def parting_layer(view: str, plan: Plan) -> str:
    """The partings that a view shows, in one path."""
    if not plan.partings:
        return ""
    strips = _parting_strips(plan)
    lines: Iterable[str] = _cubics(view, strips, strips.drawn(view)).values()
    return _path("hd-fine hd-parting", "".join(lines))


@lru_cache(maxsize=128)
def foil_strips(plan: Plan) -> Strips:
    """The foils of a plan on the sheet's head."""
    return _strips(np.stack([foil.points for foil in plan.foils]))


@lru_cache(maxsize=128)
def _parting_strips(plan: Plan) -> Strips:
    lines = []
    for parting in plan.partings:
        for line in parting.runs:
            along = along_mm(line)
            at = np.linspace(0, along[-1], FOIL_POINTS)
            lines.append(np.stack([np.interp(at, along, line[:, axis]) for axis in range(3)], 1))
    return _strips(np.stack(lines))


def _strips(points: Floats) -> Strips:
    """Carry lines from the plan's head to the sheet's, by azimuth and elevation."""
    on_sheet = SHEET_HEAD.surface(*azimuth_elevation(points))
    normals = SHEET_HEAD.normal(on_sheet)
    facing = {view: view_of(view).facing(normals) for view in VIEWS}
    means = np.stack([facing[view].mean(1) for view in VIEWS])
    return Strips(on_sheet, facing, [VIEWS[i] for i in means.argmax(0).tolist()])


def _drawn_xy(view: str, points: Floats) -> Floats:
    """x and y (..., 2) as written into a view's layers: x runs leftwards in a flipped one."""
    across = -1.0 if view in FLIPPED else 1.0
    return np.asarray(view_of(view).paper(points) * np.array([across, -1.0]))


def _cubics(view: str, strips: Strips, drawn: list[int]) -> dict[int, str]:
    """Each line's seen part as one cubic curve through four of its points."""
    if not drawn:
        return {}
    facing = strips.facing[view][drawn]
    paper = _drawn_xy(view, strips.points[drawn])
    low, high = _seen_span(facing)
    at = low[:, None] + (high - low)[:, None] * np.array([0.0, 1 / 3, 2 / 3, 1.0])
    whole = np.minimum(at.astype(int), FOIL_POINTS - 2)
    rest = (at - whole)[..., None]
    row = np.arange(len(drawn))[:, None]
    p = paper[row, whole] * (1 - rest) + paper[row, whole + 1] * rest
    bend = (-5 * p[:, 0] + 18 * p[:, 1] - 9 * p[:, 2] + 2 * p[:, 3]) / 6
    end = (2 * p[:, 0] - 9 * p[:, 1] + 18 * p[:, 2] - 5 * p[:, 3]) / 6
    rows = hundredths(np.concatenate([p[:, 0], bend, end, p[:, 3]], 1), _FIFTH)
    out = {}
    for i, (x, y, *others) in zip(drawn, rows, strict=True):
        steps = [value - (x, y)[k % 2] for k, value in enumerate(others)]
        out[i] = f"M{run((x, y))}{_piece(steps)}"
    return out


def _piece(steps: list[int]) -> str:
    """A curve from here in hundredths; what bends by a hair's breadth only is drawn straight."""
    dx, dy = steps[4:]
    length = hypot(dx, dy)
    bends = (abs(dx * y - dy * x) for x, y in (steps[:2], steps[2:4]))
    if length and max(bends) / length > _STRAIGHT:
        return f"c{run(steps)}"
    return f"l{run((dx, dy))}" if dy else f"h{run((dx,))}"


def _seen_span(facing: Floats) -> tuple[Floats, Floats]:
    """From where to where (n,), in points, each line faces the viewer."""
    seen = facing > SEEN_FROM
    first, last = seen.argmax(1), FOIL_POINTS - 1 - seen[:, ::-1].argmax(1)
    row = np.arange(len(facing))

    def edge(inner: Floats, outer: Floats) -> Floats:
        """How far beyond the last seen point, 0..1, the line turns away."""
        a, b = facing[row, inner], facing[row, outer]
        turning = np.abs(a - b) > 1e-9
        return np.where(turning, (a - SEEN_FROM) / np.where(turning, a - b, 1.0), 0.0)

    before, after = np.maximum(first - 1, 0), np.minimum(last + 1, FOIL_POINTS - 1)
    low = np.where(first > 0, first - edge(first, before), 0.0)
    high = np.where(last < FOIL_POINTS - 1, last + edge(last, after), FOIL_POINTS - 1.0)
    return low, high


def _seen_outline(view: str, outline: Floats) -> str:
    """Path data of the parts of a closed border that face the viewer and cut through hair."""
    if not len(outline):
        return ""
    border = np.concatenate([outline, outline[:1]])
    on_sheet = SHEET_HEAD.surface(*azimuth_elevation(border))
    facing = view_of(view).facing(SHEET_HEAD.normal(on_sheet)) - SEEN_FROM
    hair = SHEET_ZONES.hair(on_sheet) - _OFF_HAIRLINE_MM
    keep = np.minimum(facing, hair / _HEAD_MM)  # both about as steep, so that cuts fall right
    paper = _drawn_xy(view, on_sheet)
    jumps = np.flatnonzero(np.linalg.norm(np.diff(on_sheet, axis=0), axis=1) > _JUMP_MM) + 1
    pieces = zip(np.split(paper, jumps), np.split(keep, jumps), strict=True)
    return "".join(
        _polyline(part)
        for piece, inside in pieces
        for part in clipped(piece, inside)
        if len(part) > 1
    )


def _polyline(points: Floats) -> str:
    first, *rows = hundredths(thinned(points, _SECTION_TOLERANCE_MM), _TENTH)
    steps, here = [], first
    for row in rows:
        steps += [row[0] - here[0], row[1] - here[1]]
        here = row
    return f"M{run(first)}l{run(steps)}"


def _path(css: str, data: str) -> str:
    return f'<path class="{css}" d="{data}"/>' if data else ""
