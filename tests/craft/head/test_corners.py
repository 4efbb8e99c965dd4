"""The corners of patterns lie where the borders of their sections end."""

from __future__ import annotations

import numpy as np
import pytest

from academy.craft.head.corners import CORNERS, Side, corners
from academy.craft.head.sectioning import DIAMOND_FRONT_MM, PATTERNS, T_BAND_MM, T_STRIP_MM
from academy.craft.head.shape import (
    FEMALE_MEAN,
    MALE_MEAN,
    TRAINING_HEAD,
    Floats,
    Head,
    HeadError,
)
from academy.craft.head.zones import HAIRLINES, Hairline, zones_of

HEADS = [FEMALE_MEAN, MALE_MEAN, TRAINING_HEAD]
EVERY = [(pattern, cut.key) for pattern, cuts in CORNERS.items() for cut in cuts]


def at(pattern: str, key: str, head: Head = FEMALE_MEAN) -> Floats:
    corner = corners(pattern, zones_of(head))[key]
    return head.surface(corner.azimuth_deg, corner.elevation_deg)


@pytest.mark.parametrize("head", HEADS, ids=["woman", "man", "training"])
@pytest.mark.parametrize(("pattern", "key"), EVERY)
def test_a_millimetre_beside_every_corner_the_sections_change(
    pattern: str, key: str, head: Head
) -> None:
    zones = zones_of(head)
    corner, mm = corners(pattern, zones)[key], np.linalg.norm(at(pattern, key, head))
    turn = np.radians(np.arange(0, 360, 10))
    up = np.degrees(1 / mm) * np.sin(turn)
    across = np.degrees(1 / mm) * np.cos(turn) / np.cos(np.radians(corner.elevation_deg))
    around = head.surface(corner.azimuth_deg + across, corner.elevation_deg + up)
    sections = PATTERNS[pattern].sections(zones, None)
    inside = np.stack([section.border(around) > 0 for section in sections], 1)
    assert len(np.unique(inside, axis=0)) >= 2


@pytest.mark.parametrize("head", HEADS, ids=["woman", "man", "training"])
def test_the_diamond_reaches_no_further_than_its_corners(head: Head) -> None:
    """Against all cells of the scalp, one degree each."""
    zones = zones_of(head)
    (diamond,) = PATTERNS["diamond"].sections(zones, None)
    inside = zones.cells.points[diamond.border(zones.cells.points) > 0]
    reach = [at("diamond", f"diamond_{end}", head) for end in ("front", "left", "back", "right")]
    found = [inside[:, 1].max(), inside[:, 0].max(), inside[:, 1].min()]
    assert found == pytest.approx([reach[0][1], reach[1][0], reach[2][1]], abs=3)
    assert inside[:, 0].min() == pytest.approx(reach[3][0], abs=3)


@pytest.mark.parametrize(("pattern", "key"), EVERY)
def test_left_and_right_corners_mirror_each_other(pattern: str, key: str) -> None:
    corner = corners(pattern, zones_of(FEMALE_MEAN))[key]
    x = at(pattern, key)[0]
    if corner.side is Side.MIDDLE:
        assert x == pytest.approx(0, abs=1e-9)
        return
    assert (x > 20) == (corner.side is Side.LEFT)
    other = (
        key.replace("left", "right") if corner.side is Side.LEFT else key.replace("right", "left")
    )
    assert at(pattern, other) == pytest.approx(at(pattern, key) * [-1, 1, 1], abs=0.05)


def test_corners_keep_the_measures_of_their_patterns() -> None:
    front = at("quarters", "front")
    assert front[1] - at("diamond", "diamond_front")[1] == pytest.approx(DIAMOND_FRONT_MM, abs=0.1)
    strip = at("t_section", "strip_front_left")
    assert strip[0] == pytest.approx(T_STRIP_MM / 2, abs=0.1)
    edge = zones_of(FEMALE_MEAN).hairline.curve(FEMALE_MEAN, np.linspace(0, 84, 421))
    assert np.linalg.norm(edge - strip, axis=1).min() == pytest.approx(T_BAND_MM, abs=0.6)


def test_the_tape_reads_the_arcs_of_the_head() -> None:
    """The same lines by `Zones.arcs_mm`, which the published arcs are checked against."""
    zones = zones_of(FEMALE_MEAN)
    arcs, quarters = zones.arcs_mm(), corners("quarters", zones)
    assert quarters["nape"].along_mm == pytest.approx(arcs["midline"], abs=0.5)
    before = arcs["midline before the ear line"]
    assert quarters["crossing"].along_mm == pytest.approx(before, abs=0.5)
    assert 2 * quarters["ear_left"].along_mm == pytest.approx(arcs["ear to ear"], abs=0.5)


@pytest.mark.parametrize("hairline", HAIRLINES.values(), ids=HAIRLINES)
@pytest.mark.parametrize("pattern", CORNERS)
def test_every_corner_is_found_with_every_hairline(pattern: str, hairline: Hairline) -> None:
    zones = zones_of(FEMALE_MEAN, hairline)
    for corner in corners(pattern, zones).values():
        p = FEMALE_MEAN.surface(corner.azimuth_deg, corner.elevation_deg)
        assert float(zones.hair(p)) > -0.5


def test_a_pattern_without_named_corners_is_refused() -> None:
    with pytest.raises(HeadError, match="Choose one of quarters"):
        corners("face_frame", zones_of(FEMALE_MEAN))
