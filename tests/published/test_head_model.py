"""Areas, foil counts and sheet points against kept rows and the figures of the trade notes."""

from __future__ import annotations

import pytest

from academy.craft.head import sectioning
from academy.craft.head.borders import every, left, outside, right
from academy.craft.head.fields import Horizontal
from academy.craft.head.foils import foil_range, pattern_zones, plan
from academy.craft.head.sectioning import PATTERNS, FoilSettings, Pattern, Section
from academy.craft.head.shape import FEMALE_MEAN
from academy.craft.head.sheet import locate, place
from academy.craft.head.zones import Zone, Zones, zones_of
from tests.published.head_rows import head_of, rows


@pytest.mark.parametrize("row", rows("zone_area"), ids=lambda r: f"{r['head']} {r['zone']}")
def test_zone_areas_have_not_moved(row: dict[str, str]) -> None:
    zones = zones_of(head_of(row))
    if row["zone"] == "scalp":
        assert zones.scalp_cm2 == pytest.approx(float(row["cm2"]), rel=0.01)
        return
    zone = Zone(row["zone"])
    assert zones.areas[zone] == pytest.approx(float(row["cm2"]), rel=0.01)
    assert zones.shares[zone] == pytest.approx(float(row["share"]), abs=0.003)


def by_zone(zones: Zones, *_: object) -> tuple[Section, ...]:
    """Nape and occipital in two halves from the bottom up, then as a half head."""
    low = every(outside(zones.above_ridge), outside(zones.front), zones.hair)
    return (
        Section("back left", Horizontal.left(zones.head), every(low, left)),
        Section("back right", Horizontal.right(zones.head), every(low, right)),
        *PATTERNS["half_head"].sections(zones),
    )


@pytest.mark.parametrize("row", rows("pattern_foils"), ids=lambda r: f"{r['pattern']} {r['head']}")
def test_foil_counts_have_not_moved(row: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """One pattern of the rows is not offered: it shows that a new one is one entry."""
    more = {"full_head_by_zone": Pattern("full_head_by_zone", "by zone", by_zone)}
    monkeypatch.setattr(sectioning, "PATTERNS", {**PATTERNS, **more})
    keys = ("depth_mm", "left_mm", "stitch_mm", "gap_mm", "foil_mm")
    worked = plan(
        row["pattern"], FoilSettings(*(float(row[key]) for key in keys)), head=head_of(row)
    )
    foils, partings, stitches = (int(row[key]) for key in ("foils", "partings", "stitches"))
    assert worked.area_cm2 == pytest.approx(float(row["cm2"]), rel=0.017)
    assert abs(len(worked.partings) - partings) <= max(1, 0.04 * partings)
    assert abs(len(worked.foils) - foils) <= max(2, 0.04 * foils)
    assert worked.stitches == pytest.approx(stitches, rel=0.03)
    assert worked.woven_share == pytest.approx(float(row["woven_share"]), abs=0.0005)


@pytest.mark.parametrize(
    "row", rows("sheet_points"), ids=lambda r: f"{r['view']} {r['azimuth_deg']}"
)
def test_places_have_not_moved_on_paper(row: dict[str, str]) -> None:
    azimuth, elevation = float(row["azimuth_deg"]), float(row["elevation_deg"])
    u, v, facing = place(row["view"], azimuth, elevation)
    assert (u, v) == pytest.approx((float(row["u_mm"]), float(row["v_mm"])), abs=0.05)
    assert facing == pytest.approx(float(row["facing"]), abs=0.001)
    found = locate(row["view"], u, v)
    assert found is not None
    assert (found.zone or "") == row["zone"]


@pytest.mark.parametrize("row", rows("weave"), ids=lambda r: f"{r['length_mm']} {r['stitch_mm']}")
def test_stitches_and_foils_of_one_parting(row: dict[str, str]) -> None:
    length, stitch, gap = (float(row[key]) for key in ("length_mm", "stitch_mm", "gap_mm"))
    settings = FoilSettings(stitch_mm=stitch, gap_mm=gap)
    assert settings.stitches(length) == int(row["stitches"])
    assert settings.foils(length) == int(row["foils_100mm"])


# The table of patterns in the trade notes: zones are those of which a pattern covers a tenth.
ALL_FRONT = {"fringe", "top", "crown", "side_left", "side_right"}
PATTERN_ZONES = {
    "quarters": set(Zone),
    "full_head": set(Zone),
    "half_head": ALL_FRONT,
    "t_section": ALL_FRONT,
    "diamond": {"top", "crown"},
    "horseshoe": {"fringe", "top", "crown"},
    "face_frame": {"fringe", "top", "side_left", "side_right"},
}


@pytest.mark.parametrize(("key", "zones"), PATTERN_ZONES.items())
def test_a_pattern_covers_the_zones_that_are_taught(key: str, zones: set[Zone]) -> None:
    assert set(pattern_zones(key)) == zones


@pytest.mark.parametrize(
    ("key", "foils"), [("full_head", 74), ("half_head", 41), ("t_section", 34), ("diamond", 10)]
)
def test_foils_on_a_head_of_540_cm2_at_six_and_six(key: str, foils: int) -> None:
    """Calculated figures of the trade notes; a diamond at teaching spacing: about six."""
    assert zones_of(FEMALE_MEAN).scalp_cm2 == pytest.approx(540, abs=1)
    assert len(plan(key, FoilSettings(), head=FEMALE_MEAN).foils) == foils


def test_a_diamond_at_teaching_spacing_takes_about_six_foils() -> None:
    """Common practice, no source."""
    low, high = foil_range("diamond", FoilSettings(6, 12), head=FEMALE_MEAN)
    assert low <= 6 <= high
