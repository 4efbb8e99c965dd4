"""Sections, partings and numbered foils of a plan as SVG. What a view shows of a plan is kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np

from academy.craft.head.foils import FOIL_POINTS, Plan
from academy.craft.head.lines import along_mm, clipped, thinned
from academy.craft.head.paths import hundredths, run
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.shape import Floats, azimuth_elevation
from academy.craft.head.sheet import SHEET_HEAD, SHEET_ZONES, VIEWS, view_of

SEEN_FROM = 0.12  # View.facing from which a piece of a foil is drawn
SEEN_OBLIQUELY = 0.3  # a foil turned away more than this is left to its better view
NUMBER_FROM = 0.5  # outside its best view a foil's number needs to be seen this squarely
DISC_MM = 4.2
DISCS_APART_MM = 2 * DISC_MM + 0.4
REPEATS_APART_MM = 2 * DISC_MM + 2.5  # for numbers that stand in another view as well
NUMBER_DROP_MM = 2.2  # from a disc's middle to the base line of its number

_SECTION_TOLERANCE_MM = 0.25
_OFF_HAIRLINE_MM = 1.0  # the hairline is drawn already
_HEAD_MM = 90.0
_JUMP_MM = 14.0  # further than this a border has leapt over a notch of the hairline
_TENTH = 10  # hundredths
_STRAIGHT = 20  # hundredths of a millimetre, a quarter of a pixel on a desktop


@dataclass(frozen=True, eq=False)
class _Strips:
    """Lines of FOIL_POINTS points on the sheet's head, and how each view sees them."""

    points: Floats  # (n, FOIL_POINTS, 3), mm
    facing: dict[str, Floats]  # view -> (n, FOIL_POINTS)
    best: list[str]  # view that sees each line most squarely

    def drawn(self, view: str) -> list[int]:
        """Places of the lines that a view shows."""
        mean = self.facing[view].mean(1)
        return [i for i, best in enumerate(self.best) if best == view or mean[i] > SEEN_OBLIQUELY]


def foil_layer(view: str, plan: Plan) -> tuple[str, str]:
    """The foils that a view shows, later ones over earlier ones, and their number discs."""
    bars, discs, _ = _foils_seen(view, plan)
    return bars, discs


def numbers_seen(view: str, plan: Plan) -> tuple[int, ...]:
    """The numbers of the foils that a view shows, rising."""
    return _foils_seen(view, plan)[2]


@lru_cache(maxsize=640)
def section_layer(view: str, plan: Plan) -> str:
    """The borders of a plan's sections; where no foils are laid also the partings."""
    css = "hd-fine hd-section" if plan.foils else "hd-edge hd-section"
    drawn = plan.sections if PATTERNS[plan.pattern].own_borders else ()
    borders = "".join(_seen_outline(view, section.outline) for section in drawn)
    out = ""
    if not plan.foils and plan.partings:
        strips = _parting_strips(plan)
        lines = _cubics(view, strips, strips.drawn(view))
        out = _path("hd-fine hd-parting", "".join(lines.values()))
    return out + _path(css, borders)


@lru_cache(maxsize=640)
def _foils_seen(view: str, plan: Plan) -> tuple[str, str, tuple[int, ...]]:
    if not plan.foils:
        return "", "", ()
    strips = _foil_strips(plan)
    drawn = strips.drawn(view)
    paths = _cubics(view, strips, drawn)
    bars = "".join(
        f'<path class="hd-foil-edge" d="{path}"/><path class="hd-foil" d="{path}"/>'
        for path in paths.values()
    )
    discs = []
    for i, (x, y) in sorted(_number_spots(view, strips, drawn).items()):
        discs.append(
            f'<circle class="hd-no" cx="{x:.1f}" cy="{y:.1f}" r="{DISC_MM}"/>'
            f'<text class="hd-no-t" x="{x:.1f}" y="{y + NUMBER_DROP_MM:.1f}">'
            f"{plan.foils[i].number}</text>"
        )
    return bars, "".join(discs), tuple(plan.foils[i].number for i in drawn)


@lru_cache(maxsize=128)
def _foil_strips(plan: Plan) -> _Strips:
    return _strips(np.stack([foil.points for foil in plan.foils]))


@lru_cache(maxsize=128)
def _parting_strips(plan: Plan) -> _Strips:
    lines = []
    for parting in plan.partings:
        for line in parting.runs:
            along = along_mm(line)
            at = np.linspace(0, along[-1], FOIL_POINTS)
            lines.append(np.stack([np.interp(at, along, line[:, axis]) for axis in range(3)], 1))
    return _strips(np.stack(lines))


def _strips(points: Floats) -> _Strips:
    """Carry lines from the plan's head to the sheet's, by azimuth and elevation."""
    on_sheet = SHEET_HEAD.surface(*azimuth_elevation(points))
    normals = SHEET_HEAD.normal(on_sheet)
    facing = {view: view_of(view).facing(normals) for view in VIEWS}
    means = np.stack([facing[view].mean(1) for view in VIEWS])
    return _Strips(on_sheet, facing, [VIEWS[i] for i in means.argmax(0).tolist()])


def _cubics(view: str, strips: _Strips, drawn: list[int]) -> dict[int, str]:
    """Each line's seen part as one cubic curve through four of its points."""
    if not drawn:
        return {}
    facing = strips.facing[view][drawn]
    paper = view_of(view).paper(strips.points[drawn]) * np.array([1.0, -1.0])
    low, high = _seen_span(facing)
    at = low[:, None] + (high - low)[:, None] * np.array([0.0, 1 / 3, 2 / 3, 1.0])
    whole = np.minimum(at.astype(int), FOIL_POINTS - 2)
    rest = (at - whole)[..., None]
    row = np.arange(len(drawn))[:, None]
    p = paper[row, whole] * (1 - rest) + paper[row, whole + 1] * rest
    bend = (-5 * p[:, 0] + 18 * p[:, 1] - 9 * p[:, 2] + 2 * p[:, 3]) / 6
    end = (2 * p[:, 0] - 9 * p[:, 1] + 18 * p[:, 2] - 5 * p[:, 3]) / 6
    ends = np.stack([p[:, 0], bend, end, p[:, 3]], 1)
    out = {}
    for i, line in zip(drawn, ends, strict=True):
        start, *others = hundredths(line, _TENTH)
        steps = [point[axis] - start[axis] for point in others for axis in (0, 1)]
        out[i] = f"M{run(start)}{_piece(steps)}"
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


def _number_spots(view: str, strips: _Strips, drawn: list[int]) -> dict[int, tuple[float, float]]:
    """Where each foil's number goes: its middle, or the nearest place clear of the others.

    Every foil gets a number in the view that sees it best; elsewhere only where there is room.
    """
    middle = FOIL_POINTS // 2
    tries = sorted(range(1, FOIL_POINTS - 1), key=lambda k: abs(k - middle))
    paper = (view_of(view).paper(strips.points) * np.array([1.0, -1.0])).tolist()
    facing = strips.facing[view]
    spots: dict[int, tuple[float, float]] = {}

    def gap(x: float, y: float) -> float:
        return min((hypot(x - u, y - v) for u, v in spots.values()), default=1e3)

    for i in sorted(drawn, key=lambda i: strips.best[i] != view):
        at_best = strips.best[i] == view
        options = [paper[i][k] for k in tries if at_best or facing[i, k] > NUMBER_FROM]
        apart = DISCS_APART_MM if at_best else REPEATS_APART_MM
        clear = next((o for o in options if gap(*o) > apart), None)
        if clear is None and at_best:
            clear = max(options, key=lambda o: gap(*o))
        if clear is not None:
            spots[i] = clear[0], clear[1]
    return spots


def _seen_outline(view: str, outline: Floats) -> str:
    """Path data of the parts of a closed border that face the viewer and cut through hair."""
    if not len(outline):
        return ""
    border = np.concatenate([outline, outline[:1]])
    on_sheet = SHEET_HEAD.surface(*azimuth_elevation(border))
    seen = view_of(view)
    facing = seen.facing(SHEET_HEAD.normal(on_sheet)) - SEEN_FROM
    hair = SHEET_ZONES.hair(on_sheet) - _OFF_HAIRLINE_MM
    keep = np.minimum(facing, hair / _HEAD_MM)  # both about as steep, so that cuts fall right
    paper = seen.paper(on_sheet) * np.array([1.0, -1.0])
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
