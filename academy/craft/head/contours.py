"""Borders traced on a grid: closed lines around the places where a value is positive."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from academy.craft.head.shape import Floats

SMALLEST_RING = 12  # grid points; less is a speck

# Marching squares: for each pattern of corners above 0, the cell's edges joined by the border.
_CROSSINGS = {
    1: "LB", 2: "BR", 3: "LR", 4: "RT", 5: "LBRT", 6: "BT", 7: "LT",
    8: "TL", 9: "TB", 10: "BRTL", 11: "TR", 12: "RL", 13: "RB", 14: "BL",
}  # fmt: skip
_Edge = tuple[int, int, int]


def contours(u: Floats, v: Floats, value: Floats) -> list[Floats]:
    """Closed lines (n, 2) around value > 0 on a grid (rows by v, columns by u)."""
    links: dict[_Edge, list[_Edge]] = defaultdict(list)
    above = value > 0
    code = above[:-1, :-1] * 1 + above[:-1, 1:] * 2 + above[1:, 1:] * 4 + above[1:, :-1] * 8
    for i, j in np.argwhere((code > 0) & (code < 15)).tolist():
        edge = {"B": (0, i, j), "T": (0, i + 1, j), "L": (1, i, j), "R": (1, i, j + 1)}
        word = _CROSSINGS[int(code[i, j])]
        for one, two in zip(word[::2], word[1::2], strict=True):
            links[edge[one]].append(edge[two])
            links[edge[two]].append(edge[one])

    def crossing(edge: _Edge) -> tuple[float, float]:
        kind, i, j = edge
        row, col = (i, j + 1) if kind == 0 else (i + 1, j)
        t = value[i, j] / (value[i, j] - value[row, col])
        return float(u[j] + t * (u[col] - u[j])), float(v[i] + t * (v[row] - v[i]))

    rings = []
    while links:
        ring = _walk(links)
        for passed in ring:
            links.pop(passed, None)
        if len(ring) >= SMALLEST_RING:
            rings.append(np.array([crossing(edge) for edge in ring]))
    return rings


def _walk(links: dict[_Edge, list[_Edge]]) -> list[_Edge]:
    first = next(iter(links))
    ring, here = [first], links[first][0]
    while here != first:
        ring.append(here)
        here = next((edge for edge in links[here] if edge != ring[-2]), first)
    return ring
