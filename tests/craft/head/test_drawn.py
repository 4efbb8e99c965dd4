"""Sections drawn on the head: what is taken, how far a place lies inside, and what is laid."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, reject, settings as run, strategies as st

from academy.craft.head.drawn import BAND_MM, MOST_CORNERS, Direction, DrawnSection
from academy.craft.head.foils import Plan, foil_range, pattern_zones, plan
from academy.craft.head.lines import length_mm
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.shape import (
    FEMALE_MEAN,
    MALE_MEAN,
    TRAINING_HEAD,
    Floats,
    Head,
    HeadError,
    azimuth_elevation,
)
from academy.craft.head.zones import HAIRLINES, Zone, zones_of

CROWN = DrawnSection(((150, 30), (-150, 30), (-160, 60), (160, 60)))
SIDE = DrawnSection(((85, 5), (115, 5), (115, 35), (85, 35)))
MIDLINE = DrawnSection(((0, 45), (0, 90), (180, 60), (180, 30)), band_mm=40)
DRAWN = {"crown": CROWN, "side": SIDE, "midline band": MIDLINE}
DIRECTIONS = list(Direction)


def drawn_plan(drawn: DrawnSection, settings: FoilSettings | None = None) -> Plan:
    return plan("custom", settings or FoilSettings(), drawn=drawn, head=FEMALE_MEAN)


def area_cm2(drawn: DrawnSection) -> float:
    """Hair inside the border by the cells of the scalp, one degree each."""
    zones = zones_of(FEMALE_MEAN)
    inside = drawn.border(FEMALE_MEAN)(zones.cells.points)
    return sum(share * zones.areas[zone] for zone, share in zones.covered(inside).items())


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("drawn", DRAWN.values(), ids=DRAWN)
def test_a_section_has_the_same_area_whichever_way_it_is_parted(
    drawn: DrawnSection, direction: Direction
) -> None:
    laid = drawn_plan(replace(drawn, direction=direction))
    assert laid.area_cm2 == pytest.approx(area_cm2(drawn), rel=0.03)


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("drawn", DRAWN.values(), ids=DRAWN)
def test_partings_times_spacing_come_to_the_area(drawn: DrawnSection, direction: Direction) -> None:
    laid = drawn_plan(replace(drawn, direction=direction), FoilSettings(3, 0))
    assert laid.parting_mm * 3 / 100 == pytest.approx(laid.area_cm2, rel=0.05)


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("drawn", DRAWN.values(), ids=DRAWN)
def test_every_foil_lies_in_the_section_and_on_hair(
    drawn: DrawnSection, direction: Direction
) -> None:
    laid = drawn_plan(replace(drawn, direction=direction))
    points = np.concatenate([foil.points for foil in laid.foils])
    assert drawn.border(FEMALE_MEAN)(points).min() > -1
    assert zones_of(FEMALE_MEAN).hair(points).min() > -1


def test_a_band_is_as_wide_as_asked() -> None:
    """Over hair all along: its area is width times length, and two round ends."""
    line = DrawnSection(((100, 25), (140, 25)), band_mm=30)
    middle = FEMALE_MEAN.surface(*arc_between(line))
    expected = 30 * length_mm(middle) + np.pi * 15**2
    assert area_cm2(line) == pytest.approx(expected / 100, rel=0.03)


def arc_between(drawn: DrawnSection) -> tuple[Floats, Floats]:
    """Azimuths and elevations along the shortest arc between the first two corners."""
    ends = FEMALE_MEAN.surface(*np.array(drawn.corners[:2]).T)
    ends /= np.linalg.norm(ends, axis=1, keepdims=True)
    share = np.linspace(0, 1, 201)[:, None]
    return azimuth_elevation((1 - share) * ends[0] + share * ends[1])


@pytest.mark.parametrize("drawn", [CROWN, MIDLINE], ids=["area", "band"])
def test_the_border_tells_straight_millimetres(drawn: DrawnSection) -> None:
    """Against the nearest of many points on the border, found by its outline."""
    outline = drawn_plan(drawn).sections[0].outline
    border = drawn.border(FEMALE_MEAN)
    assert np.abs(border(outline)).max() < 0.3
    azimuth, elevation = np.meshgrid(np.arange(130, 231, 10), np.arange(20, 71, 10))
    p = FEMALE_MEAN.surface(azimuth, elevation).reshape(-1, 3)
    nearest = np.linalg.norm(p[:, None] - outline, axis=2).min(1)
    inside = border(p)
    near = nearest < 25
    assert np.abs(inside[near]) == pytest.approx(nearest[near], abs=2.0)


def test_distances_come_in_the_shape_of_the_points() -> None:
    p = FEMALE_MEAN.surface(np.zeros((2, 3)) + 180, np.zeros((2, 3)) + 45)
    assert CROWN.border(FEMALE_MEAN)(p).shape == (2, 3)
    assert float(CROWN.border(FEMALE_MEAN)(p[0, 0])) > 10


@pytest.mark.parametrize("head", [FEMALE_MEAN, MALE_MEAN, TRAINING_HEAD])
def test_a_section_means_the_same_on_every_head(head: Head) -> None:
    """Its corners lie on its border."""
    at = head.surface(*np.array(CROWN.corners).T)
    assert np.abs(CROWN.border(head)(at)).max() < 1e-6


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("drawn", [CROWN, SIDE], ids=["crown", "side"])
def test_a_mirrored_section_gives_mirrored_foils(drawn: DrawnSection, direction: Direction) -> None:
    """Foils side by side count from the wearer's left on both, so their order is not asked."""
    one = replace(drawn, direction=direction)
    left, right = drawn_plan(one), drawn_plan(one.mirrored)
    assert len(left.partings) == len(right.partings)
    for a, b in zip(left.partings, right.partings, strict=True):
        assert a.length_mm == pytest.approx(b.length_mm, abs=0.01)
    middles = np.array([foil.points[6] for foil in right.foils])
    for foil in left.foils:
        gaps = np.linalg.norm(middles - foil.points[6] * [-1, 1, 1], axis=1)
        assert gaps.min() < 0.01
        assert right.foils[int(gaps.argmin())].zone is foil.zone.mirrored


def test_mirroring_twice_gives_the_section_again() -> None:
    for direction in Direction:
        one = replace(SIDE, direction=direction)
        assert one.mirrored.mirrored == one


def test_a_level_line_is_one_run_where_its_ring_is_opened() -> None:
    """The band crosses every ring twice, once where rings begin and end."""
    laid = drawn_plan(MIDLINE)
    assert [len(parting.runs) for parting in laid.partings[2:-2]] == [2] * (len(laid.partings) - 4)
    for parting in laid.partings:
        for part in parting.runs:
            assert np.linalg.norm(np.diff(part, axis=0), axis=1).max() < 4


def test_the_other_end_is_laid_first_when_asked() -> None:
    up = drawn_plan(SIDE)
    down = drawn_plan(replace(SIDE, from_high=True))
    assert [foil.length_mm for foil in down.foils] == [f.length_mm for f in up.foils][::-1]
    assert up.foils[0].points[6, 2] < up.foils[-1].points[6, 2]


def test_a_section_may_cross_the_midline() -> None:
    laid = drawn_plan(CROWN)
    assert any(foil.points[0, 0] * foil.points[-1, 0] < 0 for foil in laid.foils)
    assert {foil.zone for foil in laid.foils} <= {Zone.CROWN, Zone.OCCIPITAL}


def test_a_small_section_has_the_zone_it_lies_in() -> None:
    small = DrawnSection(((175, 45), (-175, 45), (180, 55)))
    assert pattern_zones("custom", drawn=small) == (Zone.CROWN,)
    assert pattern_zones("custom", drawn=SIDE) == (Zone.SIDE_LEFT, Zone.OCCIPITAL)


def test_the_range_holds_the_count() -> None:
    for drawn in DRAWN.values():
        low, high = foil_range("custom", FoilSettings(), drawn=drawn, head=FEMALE_MEAN)
        assert low <= len(drawn_plan(drawn).foils) <= high


def test_only_hair_is_sectioned_off() -> None:
    front = DrawnSection(((-30, 20), (30, 20), (30, 60), (-30, 60)))
    area = {
        key: plan("custom", FoilSettings(), drawn=front, hairline=kept).area_cm2
        for key, kept in HAIRLINES.items()
    }
    assert area["low"] > area["average"] > area["high"]
    assert area["average"] > area["receding"]


corners = st.lists(
    st.tuples(st.floats(-180, 180), st.floats(-60, 90)), min_size=3, max_size=MOST_CORNERS
)


@given(corners, st.none() | st.floats(*BAND_MM), st.sampled_from(DIRECTIONS), st.booleans())
@run(deadline=None)
def test_plain_data_gives_the_section_back(
    at: list[tuple[float, float]], band: float | None, direction: Direction, from_high: bool
) -> None:
    try:
        drawn = DrawnSection(tuple(at), band, direction, from_high)
    except HeadError:
        reject()
    again = DrawnSection.from_data(json.loads(json.dumps(drawn.to_data())))
    assert again == drawn
    assert hash(again) == hash(drawn)


@given(corners, st.sampled_from(DIRECTIONS), st.none() | st.floats(*BAND_MM))
@run(deadline=None, max_examples=40)
def test_whatever_is_drawn_is_laid_whole_or_refused(
    at: list[tuple[float, float]], direction: Direction, band: float | None
) -> None:
    try:
        laid = drawn_plan(DrawnSection(tuple(at), band, direction))
    except HeadError:
        return
    assert laid.area_cm2 >= 1
    assert len(laid.partings) >= 1
    assert np.isfinite(np.concatenate([foil.points for foil in laid.foils])).all()
    assert len(laid.sections[0].outline) > 3


STAR = tuple(
    (float(180 + 25 * np.cos(t)), float(40 + 20 * np.sin(t))) for t in (0, 2.5, 5, 1.2, 3.7)
)


@pytest.mark.parametrize(
    ("at", "band", "words"),
    [
        (
            ((150, 30), (-150, 60), (-150, 30), (150, 60)),
            None,
            "crosses itself: the line from corn",
        ),
        (STAR, None, "crosses itself"),
        (((150, 30), (150, 30.5), (170, 60)), None, r"Corners 1 and 2 lie 0\.\d mm apart"),
        (((150, 30), (170, 60), (150, 30)), None, "Corners 1 and 3 lie 0.0 mm apart"),
        (((0, 90), (120, 90), (180, 40)), None, "Corners 1 and 2"),
        (((150, 30), (170, 30)), None, "at least three corners"),
        (((150, 30),), 20, "at least two points"),
        (((0, 0), (120, 0), (-120, 0)), None, "more than half round the head"),
        (((150, 30), (170, 30), (160, 50)), 5, "The band is 5 mm wide. Give 10 to 120 mm"),
        (((150, 30), (170, 30), (160, 50)), float("nan"), "The band is nan mm wide"),
        (((150, 30), (170, 30), (160, 95)), None, "An elevation of 95 degrees"),
        (((150, 30), (170, 30), (float("inf"), 5)), None, "two numbers in degrees"),
        (((180, 20), (180, 60), (180, 40.5)), None, "runs back over itself|crosses itself"),
        (tuple((100 + 5 * n, 30) for n in range(25)), 20, "has 25 corners. Use 24 at most"),
    ],
)
def test_what_encloses_nothing_clear_is_refused(
    at: tuple[tuple[float, float], ...], band: float | None, words: str
) -> None:
    with pytest.raises(HeadError, match=words):
        DrawnSection(at, band)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (None, "needs its corners"),
        ([], "needs its corners"),
        ({"band_mm": 20}, "needs its corners"),
        ({"corners": [], "colour": "red"}, "needs its corners"),
        ({"corners": "150 30"}, "Each corner is two numbers"),
        ({"corners": [[150, 30], [160, "x"], [170, 30]]}, "Each corner is two numbers"),
        ({"corners": [[150, 30, 5]]}, "Each corner is two numbers"),
        ({"corners": [[150, 30], [True, 40], [170, 30]]}, "Each corner is two numbers"),
        ({"corners": [[150, 30], [float("nan"), 40], [170, 30]]}, "Each corner is two numbers"),
        ({"corners": [[150, 30], [160, 60], [170, 30]], "band_mm": "20"}, "The band's width is a"),
        ({"corners": [[150, 30], [160, 60], [170, 30]], "direction": "up"}, "no direction “up”"),
        ({"corners": [[150, 30], [160, 60], [170, 30]], "direction": []}, "no direction"),
        ({"corners": [[150, 30], [160, 60], [170, 30]], "from_high": 1}, "true or false"),
        ({"corners": []}, "at least three corners"),
    ],
)
def test_data_that_is_no_section_is_refused(data: object, words: str) -> None:
    with pytest.raises(HeadError, match=words):
        DrawnSection.from_data(data)


def test_a_section_on_bare_skin_catches_no_hair() -> None:
    face = DrawnSection(((-20, -10), (20, -10), (0, 15)))
    with pytest.raises(HeadError, match=r"catches no hair\. Draw it larger, or move it"):
        plan("custom", FoilSettings(), drawn=face)
    with pytest.raises(HeadError, match="catches no hair"):
        foil_range("custom", FoilSettings(), drawn=face)


def test_a_section_narrower_than_the_spacing_has_no_parting() -> None:
    narrow = DrawnSection(((120, 30), (150, 30)), band_mm=10)
    with pytest.raises(HeadError, match=r"No parting comes out .* at 42 mm"):
        plan("custom", FoilSettings(12, 30), drawn=narrow)


def test_a_drawn_section_is_asked_for_where_it_is_needed_and_nowhere_else() -> None:
    with pytest.raises(HeadError, match=r"needs a section\. Draw its corners"):
        plan("custom", FoilSettings())
    with pytest.raises(HeadError, match="Leave the drawn section out"):
        plan("half_head", FoilSettings(), drawn=CROWN)
    with pytest.raises(HeadError, match="Leave the zone out"):
        plan("custom", FoilSettings(), drawn=CROWN, zone=Zone.CROWN)


def test_every_direction_has_words() -> None:
    assert len({direction.words for direction in Direction}) == len(Direction)
