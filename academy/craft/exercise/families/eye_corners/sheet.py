"""The head sheet of a question about corners: the views that see them, bare or with the answer."""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Picture
from academy.craft.head.outlines import outlines
from academy.craft.head.sheet import VIEW_TITLES, VIEWS, place
from academy.craft.head.svg import Drawing, view_svg

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from academy.craft.head.corners import Corner

SEEN_FROM = 0.5
"""How squarely a view must see a corner to be the one for it: two mm on paper are four there."""

_DOT_MM, _DROP_MM, _ASIDE_MM = 3.6, 6.0, 6.5
_TITLE_MM = 22
_OUTER = re.compile(r"<svg\b[^>]*>|</svg>")


def corners_sheet(
    asked: Sequence[Corner], *, zones: bool, named: Mapping[str, Corner] | None = None
) -> Picture:
    """The fewest views that see the corners well; ``named`` ones are numbered in their places.

    Without ``zones`` no border is seen on the hair.
    """
    views = views_for(asked)
    _, _, width, height = outlines()[views[0]].box
    tall = height + _TITLE_MM
    many = min(len(views), 2)
    rows = -(-len(views) // many)
    words = _words(views, named or {}, zones=zones)
    bare = "" if zones else " hd-bare"
    parts = []
    for number, view in enumerate(views):
        left, top, *_ = outlines()[view].box
        x, y = number % many * width - left, number // many * tall + _TITLE_MM - top
        title = f'<text class="hd-title" x="{left + width // 2}" y="{top - 4}">'
        parts.append(
            f'<g transform="translate({x} {y})" data-view="{view}">{title}'
            f"{VIEW_TITLES[view]}</text>{_bare_view(view)}{_marks(view, named or {})}</g>"
        )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="hd eye-head{bare}" '
        f'viewBox="0 0 {many * width} {rows * tall}" role="img" aria-label="{escape(words)}">'
        f"{''.join(parts)}</svg>"
    )
    return Picture(svg, words)


def views_for(asked: Iterable[Corner]) -> tuple[str, ...]:
    """The fewest views of which one sees each corner well, in the order of the sheet."""
    left = {corner.key: _seen_well(corner) for corner in asked}
    chosen: set[str] = set()
    while left:
        most = max(VIEWS, key=lambda view: sum(view in seen for seen in left.values()))
        chosen.add(most)
        left = {key: seen for key, seen in left.items() if most not in seen}
    return tuple(view for view in VIEWS if view in chosen)


@lru_cache(maxsize=128)
def _seen_well(corner: Corner) -> frozenset[str]:
    """The views that see it squarely enough; at least the best one."""
    facing = {view: place(view, corner.azimuth_deg, corner.elevation_deg)[2] for view in VIEWS}
    best = max(facing.values())
    return frozenset(view for view, seen in facing.items() if seen >= min(SEEN_FROM, best))


@lru_cache(maxsize=len(VIEWS))
def _bare_view(view: str) -> str:
    """A view without its own svg element."""
    return _OUTER.sub("", view_svg(view, Drawing(labels=False)))


def _marks(view: str, named: Mapping[str, Corner]) -> str:
    """Dots with the numbers of the lines, where this view sees them well."""
    out = []
    for number, corner in enumerate(named.values(), 1):
        if view in _seen_well(corner):
            u, v, _ = place(view, corner.azimuth_deg, corner.elevation_deg)
            out.append(
                f'<circle class="at" cx="{u:.1f}" cy="{-v:.1f}" r="{_DOT_MM}"/>'
                f'<text x="{u + _ASIDE_MM:.1f}" y="{_DROP_MM - v:.1f}">{number}</text>'
            )
    return f'<g class="hd-corner">{"".join(out)}</g>' if out else ""


def _words(views: Sequence[str], named: Mapping[str, Corner], *, zones: bool) -> str:
    seen = ", ".join(VIEW_TITLES[view].lower() for view in views)
    bare = "with the borders of the zones" if zones else "without lines on the hair"
    told = "".join(f" {number}: {label}." for number, label in enumerate(named, 1))
    return f"The head, {bare}: {seen}.{told}"
