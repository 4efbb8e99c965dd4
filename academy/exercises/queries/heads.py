"""The drawn head of a question that asks for places on it: five views with the placed points."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.safestring import SafeString, mark_safe

from academy.craft.head.figures import view_axes
from academy.craft.head.outlines import outlines
from academy.craft.head.sheet import (
    VIEW_TITLES,
    VIEWS,
    Place,
    best_view,
    nudge,
    place,
    zone_centre,
)
from academy.craft.head.svg import Drawing, view_svg
from academy.craft.head.zones import ZONES
from academy.craft.measure import Spot

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.craft.measure import Value

NUDGE_MM = 2.0
_WAYS = {"up": (1, 0), "down": (-1, 0), "left": (0, -1), "right": (0, 1)}


@dataclass(frozen=True)
class Point:
    """One point to draw: the name of its line, the sign beside it, where it lies.

    `kind` is "own" or "right", "" where it is being placed.
    """

    name: str
    sign: str
    spot: Spot | None
    kind: str = ""


@dataclass(frozen=True)
class Dot:
    """A point in one view, x to the right and y down in mm; not drawn where it is not seen."""

    point: Point
    x: str
    y: str
    seen: bool


@dataclass(frozen=True)
class HeadView:
    """One view with its dots. `axes` are the view's right, up and toward, for the page's script."""

    name: str
    title: str
    box: str
    axes: str
    dots: tuple[Dot, ...]

    @property
    def sides(self) -> list[tuple[str, str]]:
        """The box as attributes of `<use>`."""
        return list(zip(("x", "y", "width", "height"), self.box.split(), strict=True))

    @property
    def said(self) -> str:
        """What the view shows, in words: its name and the points seen there."""
        seen = [dot.point.sign for dot in self.dots if dot.seen]
        return f"{self.title}. Points seen: {', '.join(seen)}." if seen else f"{self.title}."


def head_views(points: Sequence[Point], asked: Iterable[Value] = ()) -> tuple[HeadView, ...]:
    """The five views with these points on them; those that see most of what is `asked` first.

    So on a phone the view to begin with is in sight. The task names the pattern, which says as
    much.
    """
    return tuple(
        HeadView(
            name,
            VIEW_TITLES[name],
            " ".join(map(str, outlines()[name].box)),
            view_axes(name),
            tuple(_dot(name, point) for point in points),
        )
        for name in _first_seen(asked)
    )


def _first_seen(asked: Iterable[Value]) -> list[str]:
    best = Counter(
        best_view(Place.at(float(spot.azimuth), float(spot.elevation)))
        for spot in asked
        if isinstance(spot, Spot)
    )
    return sorted(VIEWS, key=lambda name: -best[name])


def _dot(view: str, point: Point) -> Dot:
    if point.spot is None:
        return Dot(point, "0", "0", seen=False)
    u, v, facing = place(view, float(point.spot.azimuth), float(point.spot.elevation))
    return Dot(point, f"{u:.1f}", f"{-v:.1f}", facing > 0)


@lru_cache(maxsize=1)
def head_symbols() -> SafeString:
    """The bare views as symbols `head-left` and so on, once for a page that shows any."""
    symbols = []
    for name in VIEWS:
        inner = view_svg(name, Drawing()).partition(">")[2].removesuffix("</svg>")
        box = " ".join(map(str, outlines()[name].box))
        symbols.append(f'<symbol id="head-{name}" viewBox="{box}">{inner}</symbol>')
    return mark_safe("".join(symbols))  # noqa: S308  (our own drawing)


@lru_cache(maxsize=1)
def zone_middles() -> tuple[tuple[str, str], ...]:
    """The words of every zone, and its middle as the text of an answer."""
    return tuple((zone.words, written_place(zone_centre(zone))) for zone in ZONES)


def written_place(at: Place) -> str:
    """A place as the text of an answer: degrees round and up."""
    return f"{at.azimuth_deg:g} {at.elevation_deg:g}"


def nudged(spot: Spot, written: str, way: str) -> str:
    """The text of the answer after one step up, down, left or right.

    The step is taken in the view that the point was put on, else in the one that sees it best.
    `KeyError` for another word.
    """
    up, across = _WAYS[way]
    first = written.split(maxsplit=1)[0].casefold()
    at = Place.at(float(spot.azimuth), float(spot.elevation))
    view = first if first in VIEWS else None
    return written_place(nudge(at, up * NUDGE_MM, across * NUDGE_MM, view=view))
