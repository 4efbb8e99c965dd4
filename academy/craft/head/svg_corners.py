"""The corners of an own pattern as SVG, numbered, while it is being drawn."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from academy.craft.head.sheet import place

if TYPE_CHECKING:
    from collections.abc import Sequence

_DOT_MM = 3.6
_ASIDE_MM, _UP_MM = 6.0, 4.0


def corner_layer(view: str, corners: Sequence[tuple[float, float]], *, closed: bool) -> str:
    """Numbered corners (azimuth, elevation in degrees) where a view sees them, and the line.

    The line joins neighbours that are both seen; `closed` joins the last to the first.
    """
    seen = []
    for azimuth, elevation in corners:
        u, v, facing = place(view, azimuth, elevation)
        seen.append((u, -v) if facing > 0 else None)
    pairs = list(pairwise(seen))
    if closed and len(seen) > 2:
        pairs.append((seen[-1], seen[0]))
    line = "".join(
        f"M{one[0]:.1f} {one[1]:.1f}L{other[0]:.1f} {other[1]:.1f}"
        for one, other in pairs
        if one and other
    )
    dots = "".join(
        f'<circle cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{_DOT_MM}"/>'
        f'<text x="{at[0] + _ASIDE_MM:.1f}" y="{at[1] - _UP_MM:.1f}">{number}</text>'
        for number, at in enumerate(seen, 1)
        if at
    )
    path = f'<path d="{line}"/>' if line else ""
    return f'<g class="hd-corner">{path}{dots}</g>' if dots else ""
