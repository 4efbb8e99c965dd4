"""The corners of an own pattern as text, one a line, and what is done to them on the page."""

from __future__ import annotations

from math import isfinite

from academy.craft.head.shape import HeadError
from academy.craft.head.sheet import VIEWS, Place, best_view, locate, nudge, zone_centre
from academy.craft.head.zones import Zone

STEP_MM = 5.0
_BESIDE = "That was beside the hair. Tap inside it, or put the corner in the middle of a zone."
_WAYS = {"up": (1.0, 0.0), "down": (-1.0, 0.0), "left": (0.0, -1.0), "right": (0.0, 1.0)}

Corners = tuple[tuple[float, float], ...]


def done_to(text: str, deed: str) -> str:
    """The text after one deed of the page.

    "tap left -12 40" puts a corner where a view was tapped and "zone crown" in the middle of a
    zone; "up 3" moves the third corner by 5 mm as its best view shows it, "earlier 3" changes it
    with the one before, "out 3" takes it out. HeadError where a tap was beside the hair; any other
    deed that cannot be done leaves the text as it is.
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    what, _, about = deed.partition(" ")
    if what == "tap":
        lines.append(_tapped(about))
    elif what == "zone" and about in set(Zone):
        at = zone_centre(Zone(about))
        lines.append(written(at.azimuth_deg, at.elevation_deg))
    elif about.isascii() and about.isdigit() and 0 < int(about) <= len(lines):
        _rearrange(lines, what, int(about) - 1)
    return "\n".join(lines)


def _tapped(about: str) -> str:
    view, *figures = about.split()
    try:
        u, v = map(float, figures)
    except ValueError:
        raise HeadError(_BESIDE) from None
    at = locate(view, u, v) if view in VIEWS and isfinite(u) and isfinite(v) else None
    if at is None or at.zone is None:
        raise HeadError(_BESIDE)
    return written(at.azimuth_deg, at.elevation_deg)


def _rearrange(lines: list[str], what: str, n: int) -> None:
    if what == "out":
        del lines[n]
    elif what == "earlier" and n > 0:
        lines[n - 1], lines[n] = lines[n], lines[n - 1]
    elif what in _WAYS and (at := _place(lines[n])) is not None:
        up, across = _WAYS[what]
        moved = nudge(at, up * STEP_MM, across * STEP_MM, view=best_view(at))
        lines[n] = written(moved.azimuth_deg, moved.elevation_deg)


def _place(line: str) -> Place | None:
    try:
        azimuth, elevation = (float(part) for part in line.replace(",", ".").split())
    except ValueError:
        return None
    return Place.at(azimuth, elevation)


def written(azimuth_deg: float, elevation_deg: float) -> str:
    """One corner as a line: degrees round and up."""
    return f"{azimuth_deg:g} {elevation_deg:g}"


def text_of(corners: Corners) -> str:
    """All corners as text."""
    return "\n".join(written(*corner) for corner in corners)
