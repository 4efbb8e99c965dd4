from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from academy.craft.head.shape import FEMALE_MEAN, MALE_MEAN, TRAINING_HEAD, Head
from academy.craft.head.zones import ZONES, Zone, zones_of

HEADS = (FEMALE_MEAN, MALE_MEAN, TRAINING_HEAD)
azimuths = st.floats(-179.9, 179.9)
elevations = st.floats(-55, 89)


def spherical_cap_cm2(head: Head) -> float:
    """All hair, from the area seen between hairline and apex, integrated another way."""
    azimuth = np.radians(np.arange(-179.75, 180, 0.5))
    total = 0.0
    for a in azimuth:
        low = float(zones_of(head).hairline.at(np.degrees(a)))
        e = np.radians(np.linspace(low, 90, 400))
        middle = (e[1:] + e[:-1]) / 2
        p = head.surface(np.degrees(a), np.degrees(middle))
        r = np.linalg.norm(p, axis=1)
        facing = np.sum(head.normal(p) * p, axis=1) / r
        total += float(np.sum(r**2 * np.cos(middle) / facing * np.diff(e)) * np.radians(0.5))
    return total / 100


@pytest.mark.parametrize("head", HEADS)
def test_the_areas_of_the_zones_add_up_to_the_scalp(head: Head) -> None:
    zones = zones_of(head)
    assert sum(zones.areas.values()) == pytest.approx(spherical_cap_cm2(head), rel=0.002)
    assert sum(zones.shares.values()) == pytest.approx(1)


@given(azimuths, elevations)
def test_every_place_on_hair_lies_in_exactly_one_zone(azimuth: float, elevation: float) -> None:
    zones = zones_of(FEMALE_MEAN)
    p = FEMALE_MEAN.surface(azimuth, elevation)
    inside = [zone for zone in ZONES if zones.inside(zone, p) > 0]
    found = zones.zone_at(azimuth, elevation)
    on_a_border = any(abs(float(zones.inside(zone, p))) < 1e-6 for zone in ZONES)
    assert on_a_border or inside == ([found] if found else [])


@given(azimuths, elevations)
def test_the_mirrored_place_lies_in_the_mirrored_zone(azimuth: float, elevation: float) -> None:
    zones = zones_of(FEMALE_MEAN)
    found = zones.zone_at(azimuth, elevation)
    p = FEMALE_MEAN.surface(azimuth, elevation)
    if found and float(zones.inside(found, p)) > 1e-6:
        assert zones.zone_at(-azimuth, elevation) is found.mirrored


@given(azimuths, elevations)
def test_a_mark_keeps_its_zone_on_another_head(azimuth: float, elevation: float) -> None:
    """Borders sit at the same angles on every head but for a few millimetres at their edges."""
    zones = zones_of(FEMALE_MEAN)
    found = zones.zone_at(azimuth, elevation)
    if found and float(zones.inside(found, FEMALE_MEAN.surface(azimuth, elevation))) > 4:
        assert [zones_of(head).zone_at(azimuth, elevation) for head in HEADS] == [found] * 3


def test_the_wearers_left_is_at_positive_azimuth() -> None:
    zones = zones_of(FEMALE_MEAN)
    assert zones.zone_at(80, 20) is Zone.SIDE_LEFT
    assert zones.zone_at(-80, 20) is Zone.SIDE_RIGHT


def test_zones_have_the_words_people_use() -> None:
    words = ["fringe", "top", "crown", "left side", "right side", "occipital", "nape"]
    assert [zone.words for zone in ZONES] == words


def test_bare_skin_has_no_zone() -> None:
    assert zones_of(FEMALE_MEAN).zone_at(0, 10) is None
