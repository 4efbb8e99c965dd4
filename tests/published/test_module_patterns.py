"""The zones and ranges that module content is checked against, compared with the head model."""

from __future__ import annotations

from academy.craft.head import sectioning
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
