"""Lines as arrays of points (n, dimensions): their length, and cutting them where a value turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


def length_mm(points: NDArray[np.float64]) -> float:
    """Length of an open line in the unit of its points."""
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()) if len(points) > 1 else 0.0


def lengths(v: NDArray[np.float64]) -> NDArray[np.float64]:
    """Lengths (...) of vectors (..., d); for few axes far quicker than numpy's norm."""
    return np.asarray(np.sqrt(np.einsum("...i,...i", v, v)))


def nearest_mm(points: NDArray[np.float64], line: NDArray[np.float64]) -> NDArray[np.float64]:
    """Straight distance (...) from points (..., d) to the nearest point of a line (n, d)."""
    # |p - q|² = |p|² - 2 p·q + |q|²: one product of matrices, exact to some 1e-6 mm.
    square = (line**2).sum(-1) - 2 * points @ line.T
    return np.asarray(np.sqrt(np.maximum(square.min(-1) + (points**2).sum(-1), 0.0)))


def along_mm(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance (n,) from the first point along the line to every point."""
    return np.concatenate([np.zeros(1), np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def clipped(points: NDArray[np.float64], keep: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """The runs of a line on which `keep` (n,) is not negative, their ends cut where it is 0."""
    inside = keep >= 0
    if inside.all():
        return [points]
    runs: list[NDArray[np.float64]] = []
    run: list[NDArray[np.float64]] = []
    start = 0
    for edge in np.flatnonzero(inside[1:] != inside[:-1]).tolist():
        share = keep[edge] / (keep[edge] - keep[edge + 1])
        cut = (points[edge] + share * (points[edge + 1] - points[edge]))[None]
        if inside[edge]:
            runs.append(np.concatenate([*run, points[start : edge + 1], cut]))
        else:
            run = [cut]
        start = edge + 1
    if inside[-1]:
        runs.append(np.concatenate([*run, points[start:]]))
    return runs


def clipped_longest(points: NDArray[np.float64], keep: NDArray[np.float64]) -> NDArray[np.float64]:
    """The longest run of `clipped`, or no points (0, dimensions)."""
    return max(clipped(points, keep), key=length_mm, default=points[:0])


def thinned_ring(ring: NDArray[np.float64], tolerance_mm: float) -> NDArray[np.float64]:
    """A closed ring with the points left out that lie within the tolerance of their neighbours."""
    far = int(np.linalg.norm(ring - ring.mean(0), axis=1).argmax())
    ring = np.roll(ring, -far, axis=0)
    opposite = int(np.linalg.norm(ring - ring[0], axis=1).argmax())
    closed = np.concatenate([ring, ring[:1]])
    halves = closed[: opposite + 1], closed[opposite:]
    return np.concatenate([thinned(half, tolerance_mm)[:-1] for half in halves])


def thinned(p: NDArray[np.float64], tolerance_mm: float) -> NDArray[np.float64]:
    """An open line with the points left out that lie within the tolerance (Douglas-Peucker)."""
    keep, stack = np.zeros(len(p), bool), [(0, len(p) - 1)]
    keep[[0, -1]] = True
    while stack:
        i, j = stack.pop()
        if j - i < 2:
            continue
        chord, between = p[j] - p[i], p[i + 1 : j] - p[i]
        size = float(np.hypot(*chord))
        if size > 1e-9:
            off = np.abs(chord[0] * between[:, 1] - chord[1] * between[:, 0]) / size
        else:  # the line comes back to where it began
            off = np.hypot(between[:, 0], between[:, 1])
        k = int(off.argmax())
        if off[k] > tolerance_mm:
            keep[i + 1 + k] = True
            stack += [(i, i + 1 + k), (i + 1 + k, j)]
    return p[keep]
