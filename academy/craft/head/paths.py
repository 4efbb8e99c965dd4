"""SVG path data in few characters: relative steps, two decimals at most, no spare spaces."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.craft.head.shape import Floats


class _Words(dict[int, str]):
    """Hundredths as SVG writes them, each worked out once."""

    def __init__(self, gap: str) -> None:
        self._gap = gap  # before a number without a sign

    def __missing__(self, hundredths: int) -> str:
        sign, size = ("-", -hundredths) if hundredths < 0 else (self._gap, hundredths)
        whole, rest = divmod(size, 100)
        word = f"{whole or ''}.{rest:02d}".rstrip("0") if rest else f"{whole}"
        self[hundredths] = f"{sign}{word}"
        return self[hundredths]


FIRST, LATER = _Words(""), _Words(" ")  # at the beginning of a run, and behind another number


def number(hundredths: int) -> str:
    """A whole number of hundredths as SVG writes it: -50 is "-.5"."""
    return FIRST[hundredths]


def run(values: Sequence[int]) -> str:
    """Numbers in hundredths one after the other, parted by a space only where needed."""
    if not values:
        return ""
    return FIRST[values[0]] + "".join([LATER[value] for value in values[1:]])


def hundredths(points: Floats, grain: int = 1) -> list[list[int]]:
    """Points (n, 2) in whole hundredths, rounded to multiples of `grain` hundredths."""
    rows: list[list[int]] = (np.rint(points * (100 / grain)).astype(int) * grain).tolist()
    return rows


def polygon(points: Floats, grain: int = 1) -> str:
    """A closed line through points (n, 2)."""
    rows = hundredths(points, grain)
    steps = [here[axis] - before[axis] for before, here in pairwise(rows) for axis in (0, 1)]
    return f"M{run(rows[0])}l{run(steps)}z"


def smooth(points: Sequence[tuple[float, float]], *, closed: bool = False) -> str:
    """A smooth line through points: Catmull-Rom turned into Bezier pieces.

    From the second piece on only the later bend is written: the earlier one mirrors the one before.
    """
    p = np.array(points, float)
    n = len(p)
    pieces: list[str] = []
    for i in range(n if closed else n - 1):
        before = p[(i - 1) % n] if closed or i else p[i]
        here, there = p[i], p[(i + 1) % n]
        after = p[(i + 2) % n] if closed or i + 2 < n else there
        bend, end = here + (there - before) / 6, there - (after - here) / 6
        start, *rest = hundredths(np.stack([here, bend, end, there]), 10)
        steps = [row[axis] - start[axis] for row in rest for axis in (0, 1)]
        pieces.append(run(steps[2:]) if i else f"c{run(steps)}")
    first = hundredths(p[:1], 10)[0]
    later = " ".join(pieces[1:]).replace(" -", "-")
    return f"M{run(first)}{pieces[0]}" + (f"s{later}" if later else "") + ("z" if closed else "")


def joined(*paths: str) -> str:
    """One closed shape from open paths: each begins with a line from the end of the last."""
    return paths[0] + "".join("L" + path[1:] for path in paths[1:]) + "z"
