"""The depth swatches and white blending against kept rows; each file names its source."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from academy.craft.colour.spaces import hex_from_lab, lab_from_hex
from academy.craft.colour.swatches import nearest_depth, swatch
from academy.craft.colour.white import blended

FOLDER = Path(__file__).resolve().parents[2] / "shared" / "colour"


def rows(name: str) -> list[dict[str, str]]:
    lines = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
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
