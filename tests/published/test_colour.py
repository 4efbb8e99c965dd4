"""Colours against kept rows, published or declared; each file names its source."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import pytest

from academy.craft.colour.difference import ciede2000
from academy.craft.colour.spaces import Lab, hex_from_lab, lab_from_hex
from academy.craft.colour.swatches import DEPTHS, nearest_depth, swatch
from academy.craft.colour.tones import PAINT_HUES, STAGE_LOOKS, counter_look
from academy.craft.colour.white import blended

SHARED = Path(__file__).resolve().parents[2] / "shared"
MEASURED_DEPTHS = {"dark brown": 2, "black": 1}
NEIGHBOURS_APART = 4.38  # the least distance of two neighbouring swatches, CIEDE2000, computed


def rows(name: str, folder: str = "colour") -> list[dict[str, str]]:
    lines = (SHARED / folder / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# source: ")
    found = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert found
    return found


@pytest.mark.parametrize("row", rows("depth_swatches"), ids=lambda r: f"depth {r['depth']}")
def test_a_depth_has_its_declared_colour(row: dict[str, str]) -> None:
    colour = swatch(int(row["depth"]))
    assert colour == pytest.approx((float(row["L"]), float(row["a"]), float(row["b"])), abs=0.05)
    assert hex_from_lab(colour) == row["hex"]
    assert lab_from_hex(row["hex"]) == pytest.approx(colour, abs=0.5)
    assert nearest_depth(float(row["L"])) == int(row["depth"])


@pytest.mark.parametrize(
    "row", rows("white_blend"), ids=lambda r: f"depth {r['depth']}, {r['white_share']}"
)
def test_white_among_natural_hair_mixes_as_light(row: dict[str, str]) -> None:
    natural = swatch(int(row["depth"]))
    look = blended(natural, float(row["white_share"]))
    assert abs(natural.L - float(row["natural_L"])) < 0.1
    assert abs(look.L - float(row["blend_L"])) < 0.1


@pytest.mark.parametrize("row", rows("ciede2000_sharma_34"), ids=lambda r: f"row {r['row']}")
def test_ciede2000_is_that_of_the_published_pairs(row: dict[str, str]) -> None:
    one = Lab(float(row["L1"]), float(row["a1"]), float(row["b1"]))
    other = Lab(float(row["L2"]), float(row["a2"]), float(row["b2"]))
    assert f"{ciede2000(one, other):.4f}" == row["dE00"]
    assert f"{ciede2000(other, one):.4f}" == row["dE00"]


def test_neighbouring_swatches_lie_about_five_apart() -> None:
    apart = [ciede2000(swatch(dark), swatch(light)) for dark, light in pairwise(DEPTHS)]
    assert min(apart) == pytest.approx(NEIGHBOURS_APART, abs=0.01)
    assert max(apart) == pytest.approx(6.27, abs=0.01)


@pytest.mark.parametrize("row", rows("hair_cielab"), ids=lambda r: f"{r['hair']}, {r['condition']}")
def test_measured_dark_hair_lies_nearest_its_swatch(row: dict[str, str]) -> None:
    """Dark brown 1.8 to 2.9 from depth 2, black 2.3 to 3.8 from depth 1, CIEDE2000.

    That is less than one step between swatches. The paper measured for the 10 degree observer.
    """
    hair = Lab(float(row["L"]), float(row["a"]), float(row["b"]))
    apart = {depth: ciede2000(hair, swatch(depth)) for depth in DEPTHS}
    (depth,) = (depth for name, depth in MEASURED_DEPTHS.items() if row["hair"].startswith(name))
    assert min(apart, key=apart.__getitem__) == depth
    assert apart[depth] < NEIGHBOURS_APART


@pytest.mark.parametrize("row", rows("wheel", "checks"), ids=lambda r: str(r["stage"]))
def test_stages_and_paints_have_their_declared_looks(row: dict[str, str]) -> None:
    look, paint = STAGE_LOOKS[row["stage"]], counter_look(row["counter_tone"])
    assert look == (float(row["L"]), float(row["a"]), float(row["b"]))
    assert hex_from_lab(look) == row["hex"]
    assert look.hue == pytest.approx(float(row["hue_deg"]), abs=0.05)
    assert PAINT_HUES[row["counter_tone"]] == float(row["counter_tone_hue_deg"])
    assert paint is not None
    assert paint.hue == pytest.approx(float(row["counter_tone_hue_deg"]), abs=1e-9)
    opposite = (look.hue + 180) % 360
    assert opposite == pytest.approx(float(row["cielab_opposite_deg"]), abs=0.05)
    assert paint.hue - opposite == pytest.approx(float(row["wheel_minus_cielab_deg"]), abs=0.06)
