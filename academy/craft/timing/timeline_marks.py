"""The strokes of a timeline: shapes with a class and no colour, to a tenth of a unit."""

from __future__ import annotations

from html import escape

BAR = 10.0
"""How high a bar is."""

RING, CEILING = 4.0, 7.0
"""How far a look and a ceiling reach from the middle of their row."""

HATCH_STEP = 6.0


def number(value: float) -> str:
    """A coordinate with at most one decimal."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def text(css: str, x: float, y: float, words: str, anchor: str = "") -> str:
    """Words at a place; ``anchor`` is "middle", "end" or "" for their start."""
    at = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text class="{css}" x="{number(x)}" y="{number(y)}"{at}>{escape(words)}</text>'


def rect(css: str, left: float, top: float, width: float, height: float) -> str:
    """A rectangle; nothing where it has no width."""
    if width <= 0:
        return ""
    return (
        f'<rect class="{css}" x="{number(left)}" y="{number(top)}" width="{number(width)}" '
        f'height="{number(height)}"/>'
    )


def path(css: str, data: str) -> str:
    """One path; nothing without data."""
    return f'<path class="{css}" d="{data}"/>' if data else ""


def upright(x: float, top: float, bottom: float) -> str:
    """Path data of a vertical line."""
    return f"M{number(x)} {number(top)}V{number(bottom)}"


def level(y: float, left: float, right: float) -> str:
    """Path data of a horizontal line."""
    return f"M{number(left)} {number(y)}H{number(right)}"


def hatching(left: float, top: float, width: float, height: float) -> str:
    """Path data of slanted lines within a rectangle.

    Drawn rather than referred to: a pattern would need a name that is the only one on its page.
    """
    lines = []
    foot = left + HATCH_STEP / 2
    while foot < left + width + height:
        low, high = min(foot, left + width), max(foot - height, left)
        if low > high:
            bottom, end = top + height - (foot - low), top + (high - (foot - height))
            lines.append(f"M{number(high)} {number(end)}L{number(low)} {number(bottom)}")
        foot += HATCH_STEP
    return "".join(lines)


def look(x: float, y: float) -> str:
    """A ring: here somebody looks."""
    return f'<circle class="tl-look" cx="{number(x)}" cy="{number(y)}" r="{number(RING)}"/>'


def ceiling(x: float, middle: float) -> str:
    """A bar across a row: nothing stays in past it."""
    return path("tl-ceiling", upright(x, middle - CEILING, middle + CEILING))
