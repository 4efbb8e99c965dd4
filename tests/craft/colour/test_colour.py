"""Conversions of colour, the depth swatches, and white among natural hair."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from academy.craft.colour.spaces import (
    WHITE_POINT,
    Lab,
    hex_from_lab,
    lab_from_hex,
    lab_from_xyz,
    linear_from_srgb,
    srgb_from_linear,
    xyz_from_lab,
)
from academy.craft.colour.swatches import DEPTHS, depth_lightness, nearest_depth, swatch
from academy.craft.colour.white import WHITE_HAIR, blended

unit = st.floats(0, 1)


@given(st.integers(0, 0xFFFFFF))
def test_a_display_colour_comes_back_from_lab(number: int) -> None:
    text = f"#{number:06x}"
    assert hex_from_lab(lab_from_hex(text)) == text


@given(unit, unit, unit)
def test_light_comes_back_from_display_values(r: float, g: float, b: float) -> None:
    assert srgb_from_linear(linear_from_srgb((r, g, b))) == pytest.approx((r, g, b), abs=1e-5)


@given(st.floats(0, 100), st.floats(-80, 80), st.floats(-80, 80))
def test_lab_comes_back_from_xyz(lightness: float, a: float, b: float) -> None:
    lab = Lab(lightness, a, b)
    assert lab_from_xyz(xyz_from_lab(lab)) == pytest.approx(lab, abs=1e-6)


def test_white_and_black_are_where_the_standard_puts_them() -> None:
    """IEC 61966-2-1 and CIE 15."""
    assert lab_from_xyz(WHITE_POINT) == pytest.approx((100, 0, 0), abs=1e-9)
    assert lab_from_hex("#ffffff") == pytest.approx((100, 0, 0), abs=0.02)
    assert lab_from_hex("#000000") == (0, 0, 0)


def test_half_of_the_light_is_shown_brighter_than_half() -> None:
    """IEC 61966-2-1, computed: 1.055 × 0.5 ** (1 / 2.4) − 0.055."""
    assert srgb_from_linear((0.5, 2.0, -1.0)) == pytest.approx((0.735357, 1, 0), abs=1e-6)


@pytest.mark.parametrize("text", ["", "69563f", "#69563", "#69563g", "#69563f00", "red"])
def test_what_is_no_colour_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="#rrggbb"):
        lab_from_hex(text)


def test_every_depth_is_lighter_than_the_one_before() -> None:
    assert all(swatch(light).L - swatch(dark).L > 4 for dark, light in pairwise(DEPTHS))
    assert [nearest_depth(swatch(depth).L) for depth in DEPTHS] == list(DEPTHS)
    assert swatch(4).L < depth_lightness(4.5) < swatch(5).L


def test_darker_than_black_is_depth_1_and_lighter_than_blonde_depth_10() -> None:
    assert (nearest_depth(0), nearest_depth(100)) == (1, 10)


@pytest.mark.parametrize("depth", [0, 11, -1])
def test_there_are_ten_depths(depth: int) -> None:
    with pytest.raises(ValueError, match="1 to 10"):
        swatch(depth)


def test_a_quarter_of_white_on_black_looks_like_depth_6() -> None:
    """Computed: area mixing of light."""
    assert nearest_depth(blended(swatch(1), 0.25).L) == 6


def test_without_white_hair_nothing_changes_and_all_white_is_white() -> None:
    assert blended(swatch(3), 0) == pytest.approx(swatch(3))
    assert blended(swatch(3), 1) == pytest.approx(WHITE_HAIR)


@pytest.mark.parametrize("share", [-0.1, 1.1, 25])
def test_a_share_beyond_the_whole_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        blended(swatch(3), share)
