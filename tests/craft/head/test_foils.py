from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings as run, strategies as st

from academy.craft.head.drawn import DrawnSection
from academy.craft.head.foils import Parting, Plan, foil_range, pattern_zones, plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.shape import (
    FEMALE_MEAN,
    HEADS,
    Floats,
    Head,
    HeadError,
    azimuth_elevation,
)
from academy.craft.head.zones import HAIRLINES, ZONES, Hairline, Zone, zones_of

WHOLE = [
    key for key, pattern in PATTERNS.items() if not (pattern.needs_zone or pattern.needs_drawn)
]
FOILED = [key for key in WHOLE if PATTERNS[key].foils]


def by_section(worked: Plan) -> dict[str, int]:
    return {section.name: section.partings for section in worked.sections}


@given(
    st.sampled_from(WHOLE),
    st.floats(6, 12),
    st.floats(0, 8),
    st.sampled_from(list(HEADS.values())),
    st.sampled_from(list(HAIRLINES.values())),
)
@run(deadline=None, max_examples=60)
def test_halving_the_spacing_doubles_the_partings_of_every_section_within_two(
    key: str, depth: float, left: float, head: Head, hairline: Hairline
) -> None:
    """For n partings at a spacing of p there are 2n - 2 to 2n + 2 at p / 2 in each section."""
    wide = by_section(plan(key, FoilSettings(depth, left), head=head, hairline=hairline))
    half = FoilSettings(depth / 2, left / 2)
    close = by_section(plan(key, half, head=head, hairline=hairline))
    assert all(abs(close[name] - 2 * count) <= 2 for name, count in wide.items())


@given(st.floats(3, 12), st.floats(0, 12), st.sampled_from(list(HEADS.values())))
@run(deadline=None, max_examples=30)
def test_foils_keep_their_distance_where_crown_and_top_meet(
    depth: float, left: float, head: Head
) -> None:
    """At the middle of the head no two neighbours lie further apart than any others by a fifth."""
    worked = plan("horseshoe", FoilSettings(depth, left), head=head)
    partings = sorted(worked.partings, key=lambda parting: parting.level)
    middles = [middle_of(parting) for parting in partings]
    gaps = [float(np.linalg.norm(a - b)) for a, b in pairwise(middles)]
    assert max(gaps) < 1.2 * min(gaps)


def middle_of(parting: Parting) -> Floats:
    """Where a parting crosses the midline of the head."""
    points = np.concatenate(parting.runs)
    return np.asarray(points[np.abs(points[:, 0]).argmin()])


@pytest.mark.parametrize("key", FOILED)
def test_partings_times_spacing_come_to_the_area(key: str) -> None:
    worked = plan(key, FoilSettings(3, 0))
    assert worked.parting_mm * 3 / 100 == pytest.approx(worked.area_cm2, rel=0.03)


@pytest.mark.parametrize("key", FOILED)
def test_the_share_laid_is_near_the_share_of_exact_spacing(key: str) -> None:
    worked = plan(key, FoilSettings(4, 4))
    assert worked.laid_share == pytest.approx(worked.woven_share, rel=0.05)


def test_mirrored_panels_give_mirrored_foils() -> None:
    left = plan("one_panel", FoilSettings(), zone=Zone.SIDE_LEFT).foils
    right = plan("one_panel", FoilSettings(), zone=Zone.SIDE_RIGHT).foils
    assert len(left) == len(right) > 0
    for one, two in zip(left, right, strict=True):
        assert np.allclose(one.points * [-1, 1, 1], two.points[::-1], atol=1e-6)
        assert one.length_mm == pytest.approx(two.length_mm)


@pytest.mark.parametrize("hairline", HAIRLINES.values(), ids=HAIRLINES)
@pytest.mark.parametrize("key", FOILED)
def test_a_pattern_lies_alike_on_both_sides(key: str, hairline: Hairline) -> None:
    """Every foil has its mirror image: same length, same stitches but for one, mirrored zone."""
    foils = plan(key, FoilSettings(), hairline=hairline).foils
    middles = np.array([foil.points[6] for foil in foils])
    for foil in foils:
        gaps = np.linalg.norm(middles - foil.points[6] * [-1, 1, 1], axis=1)
        other = foils[int(gaps.argmin())]
        assert gaps.min() < 0.01
        assert other.length_mm == pytest.approx(foil.length_mm, abs=0.01)
        assert abs(other.stitches - foil.stitches) <= 1
        on_the_border = abs(foil.points[6][0]) < 1
        assert other.zone is foil.zone.mirrored or on_the_border


@pytest.mark.parametrize("key", FOILED)
def test_a_foil_has_the_zone_its_middle_lies_in(key: str) -> None:
    worked = plan(key, FoilSettings(), head=FEMALE_MEAN)
    for foil in worked.foils:
        azimuth, elevation = azimuth_elevation(foil.points[6])
        found = zones_of(FEMALE_MEAN).zone_at(float(azimuth), float(elevation))
        assert found in (foil.zone, None)
    assert {foil.zone for foil in worked.foils} <= set(Zone)


def test_foils_of_the_sides_lie_in_the_sides() -> None:
    foils = plan("half_head", FoilSettings()).foils
    assert {f.zone for f in foils if f.section == "left side"} == {Zone.SIDE_LEFT}
    assert {f.zone for f in foils if f.section == "right side"} == {Zone.SIDE_RIGHT}
    assert {f.zone for f in foils if f.section == "crown"} == {Zone.CROWN}


@pytest.mark.parametrize("key", FOILED)
def test_shares_are_of_the_hair_that_the_hairline_leaves(key: str) -> None:
    for hairline in HAIRLINES.values():
        worked = plan(key, FoilSettings(), hairline=hairline)
        scalp = zones_of(worked.head, hairline).scalp_cm2
        assert worked.hairline is hairline
        assert worked.sectioned_share == pytest.approx(worked.area_cm2 / scalp)
        assert 0 < worked.sectioned_share < 1.005


def test_a_half_head_is_laid_from_the_lowest_foil_up() -> None:
    worked = plan("half_head", FoilSettings())
    names = [section.name for section in worked.sections]
    assert names == ["crown", "left side", "right side", "top"]
    side = [foil.points[6, 2] for foil in worked.foils if foil.section == "left side"]
    assert side == sorted(side)
    assert worked.foils[0].points[:, 1].max() < worked.head.tragion_y


@pytest.mark.parametrize("key", FOILED)
def test_foils_are_numbered_without_a_gap_and_keep_the_stitches(key: str) -> None:
    worked = plan(key, FoilSettings())
    assert [foil.number for foil in worked.foils] == list(range(1, len(worked.foils) + 1))
    assert sum(foil.stitches for foil in worked.foils) == worked.stitches
    assert sum(section.foils for section in worked.sections) == len(worked.foils)
    assert sum(foil.length_mm for foil in worked.foils) == pytest.approx(worked.parting_mm)


@pytest.mark.parametrize("key", FOILED)
def test_every_foil_lies_on_hair(key: str) -> None:
    zones = zones_of(plan(key, FoilSettings()).head)
    for foil in plan(key, FoilSettings()).foils:
        assert zones.hair(foil.points).min() > -1


@given(
    st.sampled_from(FOILED),
    st.sampled_from([3.0, 5.0, 6.0, 9.0, 12.0]),
    st.sampled_from([0.0, 4.0, 6.0, 12.0]),
)
@run(deadline=None, max_examples=25)
def test_the_range_holds_the_count_and_wider_spacing_never_needs_more(
    key: str, depth: float, left: float
) -> None:
    chosen = FoilSettings(depth, left)
    low, high = foil_range(key, chosen)
    assert low <= len(plan(key, chosen).foils) <= high
    assert foil_range(key, FoilSettings(depth, left + 6))[1] <= high


def test_quarters_are_lines_without_foils() -> None:
    worked = plan("quarters", FoilSettings(6, 0))
    assert worked.foils == ()
    assert worked.stitches == 0
    assert foil_range("quarters", FoilSettings(6, 0)) == (0, 0)
    assert len(worked.sections) == 4
    assert worked.sectioned_share == pytest.approx(1, abs=0.005)


def test_slices_take_all_of_a_subsection() -> None:
    sliced = FoilSettings(6, 6, 4, 0)
    assert sliced.woven_share == 0.5
    assert {foil.stitches for foil in plan("half_head", sliced).foils} == {1}


@pytest.mark.parametrize("zone", ZONES)
def test_one_panel_covers_its_zone_and_no_other(zone: Zone) -> None:
    assert pattern_zones("one_panel", zone) == (zone,)
    worked = plan("one_panel", FoilSettings(), zone=zone, head=FEMALE_MEAN)
    assert worked.area_cm2 == pytest.approx(zones_of(FEMALE_MEAN).areas[zone], rel=0.005)
    assert len(worked.foils) >= 3


def test_a_stitch_wider_than_every_parting_is_refused() -> None:
    nape = DrawnSection(((176, -30), (-176, -30), (-176, -10), (176, -10)))
    with pytest.raises(HeadError, match=r"A stitch of 15 mm is wider than the longest parting"):
        plan("custom", FoilSettings(6, 6, 15, 3), drawn=nape)
    assert plan("custom", FoilSettings(6, 6, 15, 0), drawn=nape).foils  # slices have no stitch


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"depth_mm": 0}, "The section in a foil is 0 mm. Give 3 to 12 mm"),
        ({"left_mm": -1}, "The hair left between foils is -1 mm"),
        ({"stitch_mm": 16}, "The stitch is 16 mm"),
        ({"gap_mm": 0.5}, "0 for slices"),
        ({"foil_mm": 5}, "The foil's width is 5 mm"),
        ({"depth_mm": float("nan")}, "nan mm"),
    ],
)
def test_settings_that_no_hand_can_lay_are_refused(values: dict[str, float], words: str) -> None:
    with pytest.raises(HeadError, match=words):
        FoilSettings(**values)


def test_a_pattern_is_asked_for_by_a_key_that_exists_and_with_a_zone_where_it_needs_one() -> None:
    with pytest.raises(HeadError, match="There is no pattern “spiral”"):
        plan("spiral", FoilSettings())
    with pytest.raises(HeadError, match="Choose the zone"):
        plan("one_panel", FoilSettings())
    with pytest.raises(HeadError, match="Leave the zone out"):
        plan("half_head", FoilSettings(), zone=Zone.NAPE)
