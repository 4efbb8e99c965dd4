"""Foil numbers: on their foils, never touching, and what happens where not all have room."""

from __future__ import annotations

import re
from functools import cache
from itertools import combinations
from math import hypot

import pytest
from hypothesis import given, settings as run, strategies as st

from academy.craft.head.foils import Plan, plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.sheet import VIEWS
from academy.craft.head.svg import Drawing, view_svg
from academy.craft.head.svg_numbers import DISC_MM, STEPS, number_layer, number_step
from academy.craft.head.svg_words import numbers_drawn
from academy.craft.head.zones import ZONES, Zone

LAID = [
    (key, zone)
    for key, pattern in PATTERNS.items()
    if pattern.foils and key != "custom"
    for zone in (ZONES if pattern.needs_zone else (None,))
]
DENSEST = FoilSettings(3, 0)
DISC = re.compile(r'data-foil="(\d+)" transform="translate\((\S+) (\S+)\)"><circle')


@cache
def discs(laid: Plan) -> dict[str, dict[int, tuple[float, float]]]:
    """The discs of each view by the number of their foil."""
    return {
        view: {int(n): (float(x), float(y)) for n, x, y in DISC.findall(number_layer(view, laid))}
        for view in VIEWS
    }


def printed(laid: Plan) -> set[int]:
    return {number for view in discs(laid).values() for number in view}


def wanted(laid: Plan, step: int) -> set[int]:
    last = len(laid.foils)
    return {1, last} | set(range(step, last + 1, step))


def assert_apart(laid: Plan) -> None:
    for view in discs(laid).values():
        for (a, b), (x, y) in combinations(view.values(), 2):
            assert hypot(a - x, b - y) > 2 * DISC_MM


@pytest.mark.parametrize(("key", "zone"), LAID)
def test_at_the_standing_spacing_every_number_is_printed_and_none_touch(
    key: str, zone: Zone | None
) -> None:
    laid = plan(key, FoilSettings(), zone=zone)
    assert printed(laid) == set(range(1, len(laid.foils) + 1))
    assert number_step(laid) == 1
    assert numbers_drawn(laid) == ""
    assert_apart(laid)


@pytest.mark.parametrize(("key", "zone"), LAID)
def test_at_the_closest_spacing_the_first_the_last_and_every_nth_number_is_printed(
    key: str, zone: Zone | None
) -> None:
    laid = plan(key, DENSEST, zone=zone)
    assert printed(laid) == wanted(laid, number_step(laid))
    assert_apart(laid)


def test_how_many_numbers_are_left_out_at_the_closest_spacing() -> None:
    steps = {key: number_step(plan(key, DENSEST)) for key, zone in LAID if zone is None}
    assert steps == {
        "full_head": 10,
        "half_head": 5,
        "t_section": 5,
        "diamond": 2,
        "horseshoe": 1,
        "face_frame": 5,
    }
    words = view_svg("top", Drawing(plan=plan("half_head", DENSEST)))
    assert "Every fifth number is drawn." in words


@given(
    st.sampled_from(LAID), st.floats(3, 12), st.floats(0, 30), st.sampled_from([40.0, 100.0, 300.0])
)
@run(deadline=None, max_examples=40)
def test_at_any_spacing_numbers_stay_apart_and_follow_one_rule(
    what: tuple[str, Zone | None], depth: float, left: float, foil: float
) -> None:
    key, zone = what
    laid = plan(key, FoilSettings(round(depth, 1), round(left, 1), foil_mm=foil), zone=zone)
    step = number_step(laid)
    assert step in STEPS
    ruled = wanted(laid, step)
    # A last foil that is short and far round may have no place for a number in any view.
    assert printed(laid) in (ruled, ruled - {len(laid.foils)})
    assert_apart(laid)


def test_close_foils_are_drawn_narrow() -> None:
    assert "hd-close" in view_svg("top", Drawing(plan=plan("diamond", DENSEST)))
    assert "hd-close" not in view_svg("top", Drawing(plan=plan("diamond", FoilSettings())))
