"""The corners of an own pattern on the drawn head: numbered where a view sees them, joined."""

from __future__ import annotations

from academy.craft.head.svg_corners import corner_layer

TOP = ((20.0, 60.0), (-20.0, 60.0), (-60.0, 75.0), (60.0, 75.0))


def test_corners_are_numbered_in_order_and_joined_all_round() -> None:
    layer = corner_layer("top", TOP, closed=True)
    assert [f">{n}</text>" in layer for n in (1, 2, 3, 4, 5)] == [True] * 4 + [False]
    assert layer.count("<circle") == 4
    assert layer.count("M") == 4


def test_a_line_for_a_band_is_not_closed() -> None:
    assert corner_layer("top", TOP, closed=False).count("M") == 3


def test_a_view_shows_the_corners_that_it_sees_and_nothing_without_any() -> None:
    left = corner_layer("left", ((90.0, 20.0), (-90.0, 20.0)), closed=False)
    assert left.count("<circle") == 1
    assert ">1</text>" in left
    assert "<path" not in left
    assert corner_layer("left", ((-90.0, 20.0),), closed=True) == ""
