from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from academy.craft.head.shape import (
    FEMALE_MEAN,
    HEAD_WORDS,
    HEADS,
    MALE_MEAN,
    TAPE_MM,
    TRAINING_HEAD,
    Head,
    HeadError,
    azimuth_elevation,
    direction,
)

azimuths = st.floats(-180, 180)
elevations = st.floats(-60, 90)


@given(azimuths, elevations)
def test_a_point_of_the_surface_is_seen_where_it_was_asked_for(
    azimuth: float, elevation: float
) -> None:
    p = FEMALE_MEAN.surface(azimuth, elevation)
    back = FEMALE_MEAN.surface(*azimuth_elevation(p))
    assert np.linalg.norm(back - p) < 1e-6
    assert FEMALE_MEAN.level(p) == pytest.approx(1, abs=1e-6)


@given(azimuths, elevations)
def test_normals_point_outwards_and_have_length_one(azimuth: float, elevation: float) -> None:
    p = MALE_MEAN.surface(azimuth, elevation)
    normal = MALE_MEAN.normal(p)
    assert np.linalg.norm(normal) == pytest.approx(1)
    assert normal @ p > 0


@given(azimuths, elevations)
def test_the_head_is_the_same_on_both_sides(azimuth: float, elevation: float) -> None:
    left, right = FEMALE_MEAN.surface(azimuth, elevation), FEMALE_MEAN.surface(-azimuth, elevation)
    assert np.allclose(left * [-1, 1, 1], right, atol=1e-9)


def test_callipers_on_the_model_read_what_the_head_was_made_from() -> None:
    around = FEMALE_MEAN.ring(0.0, np.linspace(-180, 180, 3601))
    assert np.ptp(around[:, 1]) == pytest.approx(FEMALE_MEAN.length_mm, abs=0.01)
    assert np.ptp(around[:, 0]) == pytest.approx(FEMALE_MEAN.breadth_mm, abs=0.01)


def test_a_ray_comes_out_where_the_surface_is() -> None:
    toward = np.array([0.6, -0.48, 0.64])
    out = FEMALE_MEAN.ray(np.zeros(3), toward)
    assert np.linalg.norm(out) == pytest.approx(float(FEMALE_MEAN.radius(toward)), abs=1e-6)


def test_the_training_head_is_a_smaller_mean_head() -> None:
    assert TRAINING_HEAD.length_mm / FEMALE_MEAN.length_mm == pytest.approx(540 / 561.12)
    ratio = TRAINING_HEAD.circumference_mm / FEMALE_MEAN.circumference_mm
    assert ratio == pytest.approx(540 / 561.12)


def test_a_head_by_its_tape_is_the_mean_woman_scaled() -> None:
    assert Head.of_tape(540) == TRAINING_HEAD
    assert Head.of_tape(561.12).length_mm == pytest.approx(FEMALE_MEAN.length_mm)
    large = Head.of_tape(600)
    assert large.breadth_mm / large.length_mm == pytest.approx(147.77 / 189.82)


@given(st.floats(*TAPE_MM))
def test_every_tape_in_the_range_is_a_head(tape: float) -> None:
    head = Head.of_tape(tape)
    assert head.circumference_mm / tape == pytest.approx(FEMALE_MEAN.circumference_mm / 561.12)


@pytest.mark.parametrize("tape", [300, 479, 661, 0, -540, float("nan"), float("inf")])
def test_a_tape_that_no_head_has_is_refused_with_the_range(tape: float) -> None:
    with pytest.raises(HeadError, match=r"is not a head\. Heads measure 480 to 660 mm"):
        Head.of_tape(tape)


def test_a_height_left_out_is_that_of_the_mean_heads() -> None:
    for mean in (FEMALE_MEAN, MALE_MEAN):
        guessed = Head.of_lengths(mean.length_mm, mean.breadth_mm)
        assert guessed.tragion_top_mm == pytest.approx(mean.tragion_top_mm)
    between = Head.of_lengths(194.66, 151.05)
    assert between.tragion_top_mm == pytest.approx((126.48 + 131.15) / 2, abs=0.01)
    assert Head.of_lengths(190, 148, 120) == Head(190, 148, 120)


def test_a_height_left_out_does_not_hide_lengths_that_cannot_be() -> None:
    with pytest.raises(HeadError, match="head length of 300 mm"):
        Head.of_lengths(300, 150)
    with pytest.raises(HeadError, match="swapped"):
        Head.of_lengths(150, 160)


def test_every_named_head_has_words() -> None:
    assert list(HEADS) == list(HEAD_WORDS) == ["training", "woman", "man"]
    assert HEADS["training"] is TRAINING_HEAD


def test_the_bounds_around_a_head_lie_outside_it() -> None:
    """Rays begin there; from inside, they would not find their way out."""
    for head in (FEMALE_MEAN, Head(240, 190, 170), Head(211, 110, 90)):
        azimuth, elevation = np.meshgrid(np.arange(-180, 180, 5), np.arange(-90, 91, 5))
        toward = direction(azimuth, elevation)
        inside = head.surface(azimuth, elevation) * 0.5
        assert np.abs(head.level(head.ray(inside, toward)) - 1).max() < 1e-6


@pytest.mark.parametrize(
    ("lengths", "words"),
    [
        ((150, 160, 120), "swapped"),
        ((95, 80, 100), "head length of 95 mm is not a head"),
        ((190, 148, 0), "tragion-to-top height of 0 mm"),
        ((float("nan"), 148, 126), "head length of nan mm"),
    ],
)
def test_an_impossible_head_is_refused_with_a_sentence(
    lengths: tuple[float, float, float], words: str
) -> None:
    with pytest.raises(HeadError, match=words):
        Head(*lengths)
