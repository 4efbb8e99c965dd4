"""Draw the five bare views once and keep them: `python -m academy.craft.head.build_outlines`.

Writes one file for each hairline into shared/head and their hashes beside them; takes half
a minute. Zone borders are traced on a grid of lines of sight, then thinned.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

import numpy as np

from academy.craft.head.anatomy import ANATOMY, Anatomy, Shape
from academy.craft.head.contours import contours
from academy.craft.head.lines import thinned_ring
from academy.craft.head.outlines import HASH_FILE, SLOT_SIGNS, outlines_file
from academy.craft.head.paths import polygon
from academy.craft.head.sheet import SHEET_HEAD, VIEWS, View, view_of
from academy.craft.head.zones import AVERAGE, HAIRLINES, ZONES, Hairline, Zone, zones_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from academy.craft.head.shape import Floats

STEP_MM = 0.5
TOLERANCE_MM = 0.2
SMALL_TOLERANCE_MM = 0.5  # for view tabs, where a millimetre is a quarter of a pixel

WIDTH_MM, HEIGHT_MM = 218, 262
BOX_CORNER = {  # upper left corner of each view's box in SVG units
    "left": (-114, -97),
    "front": (-109, -97),
    "right": (-104, -97),
    "top": (-109, -122),
    "back": (-109, -97),
}

SIDEBURN_END_Z = -5.0  # the front view cuts the sideburns here: below, they are mere outline
LABEL_HALF_MM = np.array([17.0, 9.5])
LABEL_ROOM = 0.85  # a zone with less room than this share of a label goes without one

RING_MM = 10.5  # radius of a fault's ring with its stroke
RING_GAP_MM = 3.0  # between a ring and the hair
SLOT_STEP_MM = 6.0


def surface_under(view: View, u: Floats, v: Floats) -> tuple[Floats, Floats]:
    """Surface points (..., 3) under paper points, and about mm inside the silhouette (...)."""
    toward = np.array(view.toward, float)
    base = u[..., None] * np.array(view.right) + v[..., None] * np.array(view.up)
    deepest = _deepest(base, toward)
    least = SHEET_HEAD.level(base + deepest[..., None] * toward)
    inner, outer = deepest, np.full(deepest.shape, 120.0)
    for _ in range(30):
        middle = (inner + outer) / 2
        inside = SHEET_HEAD.level(base + middle[..., None] * toward) < 1
        inner, outer = np.where(inside, middle, inner), np.where(inside, outer, middle)
    p = base + np.where(least < 1, inner, deepest)[..., None] * toward
    unit = p / np.linalg.norm(p, axis=-1, keepdims=True)
    return unit * SHEET_HEAD.radius(unit)[..., None], 80 * (1 - np.sqrt(least))


def _deepest(base: Floats, toward: Floats) -> Floats:
    """How far along each line of sight the head is deepest, by golden section."""
    depth = np.linspace(-110, 110, 45)
    level = np.stack([SHEET_HEAD.level(base + t * toward) for t in depth])
    near = depth[np.clip(level.argmin(0), 1, len(depth) - 2)]
    low, high = near - 5.0, near + 5.0
    for _ in range(40):
        one, two = low + 0.381966 * (high - low), low + 0.618034 * (high - low)
        first = SHEET_HEAD.level(base + one[..., None] * toward)
        second = SHEET_HEAD.level(base + two[..., None] * toward)
        low, high = np.where(first < second, low, one), np.where(first < second, two, high)
    return np.asarray((low + high) / 2)


def ring_path(rings: Iterable[Floats], *, small: bool = False) -> str:
    """Path data of closed rings, v turned downwards."""
    tolerance, grain = (SMALL_TOLERANCE_MM, 20) if small else (TOLERANCE_MM, 10)
    down = np.array([1.0, -1.0])
    return "".join(polygon(thinned_ring(ring, tolerance) * down, grain) for ring in rings)


def _side_skin(p: Floats) -> Floats:
    """The temple, and the forehead down to the brow, where the sketch leaves the model."""
    forehead = np.maximum(p[..., 2] - 16, 0.9 * SHEET_HEAD.half_length - p[..., 1])
    return np.asarray(np.minimum.reduce([p[..., 1] + 25, p[..., 2] + 60, forehead]))


# Where bare skin of the model is filled over the sketch, as a value positive there.
_BARE_SKIN: dict[str, Callable[[Floats], Floats]] = {
    "left": _side_skin,
    "right": _side_skin,
    "front": lambda p: np.asarray(p[..., 2] + 30),
    "top": lambda p: np.full(p.shape[:-1], 99.0),
}


def label_spot(view: str, zone: Zone, rings: list[Floats]) -> tuple[float, float] | None:
    """The middle (u, v) of the largest box of a label's shape in a zone, None without room."""
    ring = max(rings, key=len)
    low, high = ring.min(0), ring.max(0)
    middle = view in ("front", "back", "top") and zone.mirrored is zone
    us = np.array([0.0]) if middle else np.arange(low[0], high[0], 1.0)
    grid = np.meshgrid(us, np.arange(low[1], high[1], 1.0), indexing="ij")
    spots = np.stack([axis.ravel() for axis in grid], 1)
    spots = spots[within(spots, ring)]
    if view in ("left", "right"):  # the ear is drawn over the hair
        sign = -1.0 if view == "left" else 1.0
        ear = np.array([sign * (SHEET_HEAD.tragion_y - 17), SHEET_HEAD.tragion_z])
        spots = spots[np.linalg.norm((spots - ear) / np.array([22.0, 32.0]), axis=1) > 1.1]
    if not len(spots):
        return None
    room = (np.abs(spots[:, None] - ring[None, ::3]) / LABEL_HALF_MM).max(2).min(1)
    best = int(room.argmax())
    return (float(spots[best, 0]), float(spots[best, 1])) if room[best] > LABEL_ROOM else None


def within(spots: Floats, ring: Floats) -> NDArray[np.bool_]:
    """Which spots (n, 2) lie inside a closed ring, by the even-odd rule."""
    x, y = spots[:, 0, None], spots[:, 1, None]
    x0, y0 = ring[:, 0], ring[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    with np.errstate(divide="ignore", invalid="ignore"):
        left_of = x < (x1 - x0) * (y - y0) / (y1 - y0) + x0
    return np.asarray((((y0 > y) != (y1 > y)) & left_of).sum(1) % 2 == 1)


def ring_slots(view: str, hair: list[Floats], anatomy: Anatomy) -> dict[str, Any]:
    """Where a fault's ring can stand outside the hair, as `outlines.SLOT_SIGNS` on a grid."""
    left, top = BOX_CORNER[view]
    us = np.arange(left + RING_MM, left + WIDTH_MM - RING_MM + 0.01, SLOT_STEP_MM)
    vs = np.arange(-top - RING_MM, -top - HEIGHT_MM + RING_MM - 0.01, -SLOT_STEP_MM)
    spots = np.stack([axis.ravel() for axis in np.meshgrid(us, vs)], 1)

    def apart(ring: Floats, clear_mm: float) -> NDArray[np.bool_]:
        gap = np.linalg.norm(spots[:, None] - ring[None], axis=2).min(1)
        return np.asarray((gap > clear_mm) & ~within(spots, ring))

    free = np.logical_and.reduce([apart(ring, RING_MM + RING_GAP_MM) for ring in hair])
    bodies = [np.array(body) for body in anatomy.bodies]
    bare = np.logical_and.reduce([apart(body, RING_MM) for body in bodies])
    signs = np.where(free, np.where(bare, SLOT_SIGNS[1], SLOT_SIGNS[2]), SLOT_SIGNS[0])
    rows = ["".join(row) for row in signs.reshape(len(vs), len(us)).tolist()]
    return {"first": [float(us[0]), float(-vs[0])], "step": SLOT_STEP_MM, "rows": rows}


def _markup(shapes: Iterable[Shape]) -> str:
    return "".join(f'<path class="{s.css}" d="{s.path}"/>' for s in shapes if s.path)


def outline(name: str, hairline: Hairline = AVERAGE) -> dict[str, Any]:
    """Everything of one bare view that svg.py needs."""
    zones = zones_of(SHEET_HEAD, hairline)
    view, anatomy = view_of(name), ANATOMY[name]
    u, v = np.arange(-104, 104.1, STEP_MM), np.arange(-100, 100.1, STEP_MM)
    p, silhouette = surface_under(view, *np.meshgrid(u, v))
    hair = zones.hair(p)
    whole = silhouette
    if name == "front":
        cut = np.where(hair > -2, p[..., 2] - SIDEBURN_END_Z, 99.0)
        silhouette = np.minimum(silhouette, cut)
    rings = {zone: contours(u, v, np.minimum(zones.inside(zone, p), silhouette)) for zone in ZONES}
    rings = {zone: found for zone, found in rings.items() if found}
    scalp = contours(u, v, np.minimum(hair, silhouette))
    bare: list[Floats] = []
    if name in _BARE_SKIN:
        bared = np.minimum.reduce([0.3 - hair, _BARE_SKIN[name](p), silhouette])
        bare = contours(u, v, bared)
    head = contours(u, v, whole) if name == "top" else []
    labels = {zone: label_spot(name, zone, found) for zone, found in rings.items()}

    def drawn(*, small: bool) -> dict[str, Any]:
        def plain(shapes: Iterable[Shape]) -> list[Shape]:
            return [shape for shape in shapes if not (small and shape.css == "hd-fine")]

        skin = Shape("hd-skin", ring_path(bare, small=small))
        edges = [Shape("hd-edge", ring_path(found, small=small)) for found in (scalp, head)]
        return {
            "under": _markup([*plain(anatomy.under), skin]),
            "zones": {zone.value: ring_path(found, small=small) for zone, found in rings.items()},
            "over": _markup([*edges, *plain(anatomy.over)]),
            "ears": _markup(plain(anatomy.ears)),
        }

    return {
        "box": [*BOX_CORNER[name], WIDTH_MM, HEIGHT_MM],
        "large": drawn(small=False),
        "small": drawn(small=True),
        "labels": {
            zone.value: [round(spot[0], 1), round(-spot[1], 1)]
            for zone, spot in labels.items()
            if spot
        },
        "slots": ring_slots(name, scalp, anatomy),
    }


def built(hairline: Hairline) -> str:
    """The five views with one hairline as JSON."""
    views = {name: outline(name, hairline) for name in VIEWS}
    left = views["left"]["labels"].items()
    views["right"]["labels"] = {Zone(zone).mirrored.value: [-x, y] for zone, (x, y) in left}
    drawn = {
        "source": "python -m academy.craft.head.build_outlines",
        "licence": "BSD-3-Clause, with the project",
        "head": [SHEET_HEAD.length_mm, SHEET_HEAD.breadth_mm, SHEET_HEAD.tragion_top_mm],
        "hairline": hairline.key,
        "views": views,
    }
    return json.dumps(drawn, separators=(",", ":")) + "\n"


def main() -> None:
    """Write the outlines of every hairline and their hashes."""
    hashes = []
    for hairline in HAIRLINES.values():
        text, file = built(hairline), outlines_file(hairline.key)
        file.write_text(text, encoding="utf-8")
        hashes.append(f"{hashlib.sha256(text.encode()).hexdigest()}  {file.name}\n")
    HASH_FILE.write_text("".join(hashes), encoding="utf-8")


if __name__ == "__main__":
    main()
