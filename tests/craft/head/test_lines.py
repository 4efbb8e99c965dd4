from __future__ import annotations

import numpy as np
import pytest

from academy.craft.head.lines import along_mm, clipped, clipped_longest, length_mm, thinned

SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]])


def test_the_length_of_a_line_is_the_sum_of_its_pieces() -> None:
    assert length_mm(SQUARE) == 40
    assert along_mm(SQUARE).tolist() == [0, 10, 20, 30, 40]
    assert length_mm(SQUARE[:1]) == 0


def test_a_line_is_cut_where_the_value_is_nought() -> None:
    line = np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 0.0]])
    runs = clipped(line, np.array([1.0, -1.0, -3.0, 1.0]))
    assert [run[:, 0].tolist() for run in runs] == [[0, 0.5], [2.75, 3]]
    assert clipped_longest(line, np.array([1.0, -1.0, -3.0, 1.0]))[:, 0].tolist() == [0, 0.5]


def test_a_line_wholly_outside_leaves_nothing() -> None:
    assert clipped(SQUARE, np.full(5, -1.0)) == []
    assert clipped_longest(SQUARE, np.full(5, -1.0)).shape == (0, 2)


@pytest.mark.parametrize("tolerance", [0.01, 1.0])
def test_thinning_keeps_corners_and_drops_points_between(tolerance: float) -> None:
    at = np.linspace(0, 40, 401)
    dense = np.stack([np.interp(at, [0, 10, 20, 30, 40], SQUARE[:, axis]) for axis in (0, 1)], 1)
    assert np.allclose(thinned(dense, tolerance), SQUARE)
