"""Colour differences, hues, and how stages and counter-tones look."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, strategies as st

from academy.craft.colour.difference import ciede2000
from academy.craft.colour.spaces import Lab, hex_from_lab, lab_from_hex
from academy.craft.colour.tones import (
    PAINT_CHROMA,
    PAINT_HUES,
    PAINT_LIGHTNESS,
    STAGE_LOOKS,
    counter_look,
)
from academy.craft.formula.undertone import DARKEST, LIGHTEST, place_on_wheel, undertone_at
from academy.craft.rules import Rules, standard_rules

RULES = Rules(standard_rules())
colours = st.builds(Lab, st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


@given(colours, colours)
def test_a_difference_is_the_same_both_ways_and_never_below_zero(one: Lab, other: Lab) -> None:
    there, back = ciede2000(one, other), ciede2000(other, one)
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-6)


@given(colours)
def test_a_colour_does_not_differ_from_itself(colour: Lab) -> None:
    assert ciede2000(colour, colour) == 0


@given(colours, colours)
def test_what_differs_is_apart(one: Lab, other: Lab) -> None:
    if math.dist(one, other) > 1:
        assert ciede2000(one, other) > 0.1


@given(st.floats(0, 100), st.floats(0, 100))
def test_greys_differ_in_lightness_alone(light: float, lighter: float) -> None:
    """The formula without chroma: the step in L over its own scale."""
    mean = (light + lighter) / 2 - 50
    scale = 1 + 0.015 * mean**2 / math.sqrt(20 + mean**2)
    found = ciede2000(Lab(light, 0, 0), Lab(lighter, 0, 0))
    assert found == pytest.approx(abs(lighter - light) / scale, abs=1e-9)


@given(st.floats(0, 100), st.floats(0.1, 100), st.floats(0, 359.9))
def test_a_colour_comes_back_from_its_hue_and_chroma(
    light: float, chroma: float, hue: float
) -> None:
    colour = Lab.of_hue(light, chroma, hue)
    assert colour.chroma == pytest.approx(chroma)
    assert math.isclose((colour.hue - hue + 180) % 360, 180, abs_tol=1e-6)


def test_hues_run_from_red_by_yellow_to_blue() -> None:
    assert [Lab(50, a, b).hue for a, b in ((9, 0), (0, 9), (-9, 0), (0, -9))] == [0, 90, 180, 270]
    assert Lab(50, 0, 0).hue == 0


def test_every_stage_and_counter_tone_of_the_chart_from_depth_3_has_a_look() -> None:
    for depth in range(DARKEST, LIGHTEST + 1):
        found = undertone_at(depth, RULES)
        place = place_on_wheel(found.stage.word)
        assert (place in STAGE_LOOKS) == (depth >= 3)
        assert counter_look(found.counter_tone.word) is not None


def test_what_cancels_nothing_has_no_paint() -> None:
    assert counter_look("orange") is None


def test_stages_get_lighter_and_yellower_and_a_display_can_show_them_and_the_paints() -> None:
    looks = list(STAGE_LOOKS.values())
    assert [look.L for look in looks] == sorted(look.L for look in looks)
    assert [look.hue for look in looks] == sorted(look.hue for look in looks)
    paints = [Lab.of_hue(PAINT_LIGHTNESS, PAINT_CHROMA, hue) for hue in PAINT_HUES.values()]
    for colour in (*looks, *paints):
        assert ciede2000(lab_from_hex(hex_from_lab(colour)), colour) < 0.5
