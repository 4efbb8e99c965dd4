"""Runs of many lines at once are those of one line after the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from academy.craft.head.lines import clipped, length_mm
from academy.craft.head.runs import runs_of

values = st.lists(
    st.lists(st.floats(-5, 5).filter(lambda v: abs(v) > 0.01), min_size=9, max_size=9),
    min_size=1,
    max_size=4,
)


@given(values)
def test_runs_are_the_same_line_by_line(rows: list[list[float]]) -> None:
    keep = np.array(rows)
    at = np.linspace(0, 3, 9)
    lines = np.stack([np.stack([at, at**2, np.full(9, row)], 1) for row in range(len(rows))])
    runs = runs_of(lines, keep)
    single = [(row, run) for row in range(len(rows)) for run in clipped(lines[row], keep[row])]
    assert runs.row.tolist() == [row for row, _ in single]
    for found, (_, run) in enumerate(single):
        assert runs.length_mm[found] == pytest.approx(length_mm(run), abs=1e-9)
        assert runs.starts[found] == pytest.approx(run[0], abs=1e-9)
        assert runs.ends[found] == pytest.approx(run[-1], abs=1e-9)
        assert length_mm(runs.polyline(found)) == pytest.approx(length_mm(run), abs=1e-9)


def test_a_run_through_the_opening_of_a_ring_is_one_and_comes_last() -> None:
    turn = np.linspace(0, 2 * np.pi, 41)
    ring = np.stack([np.cos(turn), np.sin(turn), 0 * turn], 1)[None]
    ring[0, -1] = ring[0, 0]
    keep = np.cos(2 * turn)[None] - 0.5  # positive around 0 and around 180 degrees
    runs = runs_of(ring, keep)
    assert len(runs.row) == 2
    assert runs.length_mm == pytest.approx([np.pi / 3, np.pi / 3], rel=0.02)
    assert runs.starts[1, 1] < 0 < runs.ends[1, 1]
    middle = runs.points_at(runs.row[1:], (runs.start[1:] + runs.end[1:]) / 2)
    assert middle[0] == pytest.approx([1, 0, 0], abs=0.01)
    assert length_mm(runs.polyline(1)) == pytest.approx(float(runs.length_mm[1]))


def test_a_ring_wholly_inside_is_one_run() -> None:
    turn = np.linspace(0, 2 * np.pi, 41)
    ring = np.stack([np.cos(turn), np.sin(turn), 0 * turn], 1)[None]
    runs = runs_of(ring, np.ones((1, 41)))
    assert runs.length_mm == pytest.approx([2 * np.pi], rel=0.01)


def test_lines_wholly_outside_have_no_runs() -> None:
    assert len(runs_of(np.zeros((3, 5, 3)), -np.ones((3, 5))).row) == 0
