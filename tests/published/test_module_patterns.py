"""The zones and ranges that module content is checked against, compared with the head model."""

from __future__ import annotations

from academy.craft.head import sectioning
from academy.craft.head.foils import pattern_zones
from academy.craft.head.zones import Zone
from academy.curriculum.content import PATTERN_ZONES
from academy.curriculum.content.sheets import LINES_ONLY, SIZES


def test_the_patterns_of_module_content_are_those_the_head_model_draws() -> None:
    assert set(PATTERN_ZONES) == set(sectioning.PATTERNS)
    lines = {key for key, pattern in sectioning.PATTERNS.items() if not pattern.foils}
    assert lines == LINES_ONLY


def test_the_sizes_a_module_may_state_are_those_the_head_model_takes() -> None:
    drawn = {
        "depth_mm": sectioning.DEPTH_MM,
        "left_mm": sectioning.LEFT_MM,
        "stitch_mm": sectioning.STITCH_MM,
        "gap_mm": sectioning.GAP_MM,
        "foil_mm": sectioning.FOIL_MM,
    }
    assert {name: (low, high) for name, (_, low, high) in SIZES.items()} == drawn


# Zones of which a pattern covers at least 10 %, computed on the training head; trade page 2.9.
def test_the_zones_of_each_pattern_are_those_it_covers_on_the_head_model() -> None:
    chosen = ("one_panel", "custom")  # their zones are picked or drawn
    whole = {key: zones for key, zones in PATTERN_ZONES.items() if key not in chosen}
    assert {key: frozenset(pattern_zones(key)) for key in whole} == whole
    assert all(pattern_zones("one_panel", zone) == (zone,) for zone in Zone)
