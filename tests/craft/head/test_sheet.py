from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, strategies as st

from academy.craft.head.shape import FEMALE_MEAN, HeadError
from academy.craft.head.sheet import (
    VIEW_TITLES,
    VIEWS,
    Place,
    best_view,
    locate,
    nudge,
    place,
    zone_centre,
)
from academy.craft.head.zones import ZONES, Zone

azimuths = st.floats(-180, 180)
elevations = st.floats(-55, 90)
views = st.sampled_from(VIEWS)


def apart_mm(one: Place, azimuth: float, elevation: float) -> float:
    gap = FEMALE_MEAN.surface(one.azimuth_deg, one.elevation_deg) - FEMALE_MEAN.surface(
        azimuth, elevation
    )
    return float(np.linalg.norm(gap))


@given(views, azimuths, elevations)
def test_a_place_shown_in_a_view_is_found_there_again(
    view: str, azimuth: float, elevation: float
) -> None:
    u, v, facing = place(view, azimuth, elevation)
    assume(facing > 0.08)
    found = locate(view, u, v)
    assert found is not None
    assert apart_mm(found, azimuth, elevation) < 0.5


@given(azimuths, elevations)
def test_every_place_on_hair_is_seen_well_by_its_best_view(
    azimuth: float, elevation: float
) -> None:
    at = Place.at(azimuth, elevation)
    assume(at.zone is not None)
    best = place(best_view(at), at.azimuth_deg, at.elevation_deg)[2]
    assert best > 0.45
    assert all(place(view, at.azimuth_deg, at.elevation_deg)[2] <= best + 1e-9 for view in VIEWS)


def test_the_left_side_is_seen_with_the_face_pointing_left() -> None:
    assert place("left", 20, 30)[0] < place("left", 90, 30)[0] < place("left", 160, 30)[0]
    assert place("right", -20, 30)[0] > place("right", -90, 30)[0]


def test_from_above_the_front_is_up_and_the_wearers_left_is_on_the_left() -> None:
    assert place("top", 0, 50)[1] > 0 > place("top", 180, 50)[1]
    assert place("top", 90, 50)[0] < 0 < place("top", -90, 50)[0]


def test_from_the_front_the_wearers_left_is_on_the_viewers_right() -> None:
    assert place("front", 45, 30)[0] > 0 > place("back", 135, 30)[0]


@pytest.mark.parametrize(("u", "v"), [(150, 0), (94, 80), (1e9, 0), (float("nan"), 0)])
def test_a_tap_beside_the_head_finds_nothing(u: float, v: float) -> None:
    assert locate("left", u, v) is None


def test_a_tap_on_the_face_finds_skin_without_a_zone() -> None:
    found = locate("front", 0, 0)
    assert found is not None
    assert found.zone is None


def test_an_unknown_view_is_refused() -> None:
    with pytest.raises(HeadError, match="There is no view “below”"):
        locate("below", 0, 0)


@given(azimuths, elevations, st.floats(-5, 5), st.floats(-5, 5))
def test_a_nudge_moves_on_paper_as_asked_and_back(
    azimuth: float, elevation: float, up: float, across: float
) -> None:
    at = Place.at(azimuth, elevation)
    view = best_view(at)
    u, v, _ = place(view, at.azimuth_deg, at.elevation_deg)
    moved = nudge(at, up, across, view=view)
    a, b, facing = place(view, moved.azimuth_deg, moved.elevation_deg)
    assume(facing > 0.2)
    assert (a - u, b - v) == pytest.approx((across, up), abs=0.05)
    back = nudge(moved, -up, -across, view=view)
    assert apart_mm(back, at.azimuth_deg, at.elevation_deg) < 0.2


def test_a_nudge_off_the_head_leaves_the_place_where_it_is() -> None:
    at = Place.at(90, 40)
    assert nudge(at, 200, 0) == at
    assert nudge(at, 3, 0, view="right") == at


@pytest.mark.parametrize("zone", ZONES)
def test_the_centre_of_a_zone_lies_in_it(zone: Zone) -> None:
    assert zone_centre(zone).zone is zone


def test_every_view_has_a_title() -> None:
    assert set(VIEW_TITLES) == set(VIEWS)


@pytest.mark.parametrize("azimuth_deg", [180, -180, 179.996, 179.994, -179.999, 540])
def test_a_place_taken_again_is_the_same_place(azimuth_deg: float) -> None:
    at = Place.at(azimuth_deg, 10)
    assert Place.at(at.azimuth_deg, at.elevation_deg) == at
    assert -180 <= at.azimuth_deg < 180
