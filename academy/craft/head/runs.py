"""Many lines at once: the parts of each on which a value is positive, and places along them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.lines import lengths

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from academy.craft.head.shape import Floats

_CLOSED_MM = 1e-6
_APART_MM = 1.0  # between the ends of two lines laid out as one


@dataclass(frozen=True, eq=False)
class Runs:
    """Runs of lines (rows, points, 3), row by row in the order in which they are met.

    A run that passes the opening of a ring comes last in its row; its end then lies beyond the
    length of its line.
    """

    lines: Floats
    along: Floats  # (rows, points), mm from the first point of each line
    row: NDArray[np.intp]  # (runs,)
    first: NDArray[np.intp]  # (runs,) the first point of the line that lies in the run
    last: NDArray[np.intp]  # (runs,)
    start: Floats  # (runs,) mm along the line, between two points where the value is 0
    end: Floats

    @cached_property
    def length_mm(self) -> Floats:
        """Length of every run."""
        return self.end - self.start

    def points_at(self, row: NDArray[np.intp], mm: Floats) -> Floats:
        """Points (..., 3) at mm (...) along the lines of rows (...)."""
        total = self.along[row, -1]
        places, offset = self._laid_out
        at = np.where(mm > total, mm - total, mm) + offset[row]
        flat = self.lines.reshape(-1, 3)
        return np.stack([np.interp(at, places, flat[:, axis]) for axis in range(3)], -1)

    @cached_property
    def _laid_out(self) -> tuple[Floats, Floats]:
        """All lines as one: rising places of all points, and where each line begins."""
        ends = np.cumsum(self.along[:, -1] + _APART_MM)
        offset = np.concatenate([np.zeros(1), ends[:-1]])
        return (self.along + offset[:, None]).ravel(), offset

    @cached_property
    def starts(self) -> Floats:
        """The first point (runs, 3) of every run."""
        return self.points_at(self.row, self.start)

    @cached_property
    def ends(self) -> Floats:
        """The last point (runs, 3) of every run."""
        return self.points_at(self.row, self.end)

    def polyline(self, run: int) -> Floats:
        """All points (n, 3) of one run."""
        line, first, last = self.lines[self.row[run]], self.first[run], self.last[run]
        passes = self.end[run] > self.along[self.row[run], -1]
        between = [line[first:], line[1 : last + 1]] if passes else [line[first : last + 1]]
        return np.concatenate([self.starts[run : run + 1], *between, self.ends[run : run + 1]])

    def taken(self, wanted: NDArray[np.bool_]) -> Runs:
        """Some of the runs."""
        return Runs(
            self.lines,
            self.along,
            self.row[wanted],
            self.first[wanted],
            self.last[wanted],
            self.start[wanted],
            self.end[wanted],
        )


def runs_of(lines: Floats, keep: Floats) -> Runs:
    """The runs of lines (rows, points, 3) on which `keep` (rows, points) is not negative."""
    along = np.zeros(keep.shape)
    np.cumsum(lengths(np.diff(lines, axis=1)), axis=1, out=along[:, 1:])
    inside = np.zeros((keep.shape[0], keep.shape[1] + 2), bool)
    inside[:, 1:-1] = keep >= 0
    turns = inside[:, 1:] != inside[:, :-1]
    row, first = np.nonzero(turns & inside[:, 1:])
    _, last = np.nonzero(turns & inside[:, :-1])
    last = last - 1
    start = _cut(along, keep, row, first, np.maximum(first - 1, 0))
    end = _cut(along, keep, row, last, np.minimum(last + 1, keep.shape[1] - 1))
    return _joined(Runs(lines, along, row, first, last, start, end))


def _cut(
    along: Floats,
    keep: Floats,
    row: NDArray[np.intp],
    inner: NDArray[np.intp],
    outer: NDArray[np.intp],
) -> Floats:
    """Where the value turns 0 between an inner and an outer point; the end of a line is kept."""
    high, low = keep[row, inner], keep[row, outer]
    share = np.divide(high, high - low, out=np.zeros_like(high), where=low < 0)
    at = along[row, inner]
    return np.asarray(at + share * (along[row, outer] - at))


def _joined(runs: Runs) -> Runs:
    """Runs that end and begin at the opening of a ring made one."""
    if not len(runs.row):
        return runs
    gap = lengths(runs.lines[:, 0] - runs.lines[:, -1])
    closed = gap[runs.row] < _CLOSED_MM
    opens = closed & (runs.first == 0)
    closes = closed & (runs.last == runs.along.shape[1] - 1) & ~opens
    both = np.intersect1d(runs.row[opens], runs.row[closes])
    if not len(both):
        return runs
    opens &= np.isin(runs.row, both)
    closes &= np.isin(runs.row, both)
    last, end = runs.last.copy(), runs.end.copy()
    last[closes] = runs.last[opens]
    end[closes] += runs.end[opens]
    joined = Runs(runs.lines, runs.along, runs.row, runs.first, last, runs.start, end)
    return joined.taken(~opens)
