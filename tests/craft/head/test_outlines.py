from __future__ import annotations

import hashlib
import re

import numpy as np
import pytest

from academy.craft.head.anatomy import ANATOMY
from academy.craft.head.build_outlines import BOX_CORNER, HEIGHT_MM, WIDTH_MM, outline
from academy.craft.head.foils import plan
from academy.craft.head.outlines import HASH_FILE, outlines, outlines_file
from academy.craft.head.paths import number, polygon
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.shape import HeadError
from academy.craft.head.sheet import SHEET_HEAD, VIEWS, locate
from academy.craft.head.svg import Drawing, view_svg
from academy.craft.head.zones import HAIRLINES, Zone


def first_points(path: str) -> list[tuple[float, float]]:
    found = re.findall(r"M(-?\d*\.?\d+) ?(-?\d*\.?\d+)", path)
    return [(float(x), float(y)) for x, y in found]


def test_the_outlines_are_the_ones_that_were_built() -> None:
    kept = dict(line.split("  ")[::-1] for line in HASH_FILE.read_text().splitlines())
    files = [outlines_file(key) for key in HAIRLINES]
    built = {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in files}
    assert built == kept


def test_building_again_gives_the_kept_outlines() -> None:
    built, kept = outline("back"), outlines()["back"]
    assert set(built["large"]["zones"]) == {zone.value for zone in kept.large.zones}
    for zone, path in kept.large.zones.items():
        again = built["large"]["zones"][zone.value]
        assert np.allclose(first_points(path), first_points(again), atol=0.11)
        assert abs(len(path) - len(again)) < 30


@pytest.mark.parametrize("key", HAIRLINES)
def test_every_hairline_has_its_views(key: str) -> None:
    """The top of the fringe, as drawn from above, starts where its hairline does."""
    views = outlines(key)
    assert set(views) == set(VIEWS)
    assert {shape.box for shape in views.values()} == {s.box for s in outlines().values()}
    path = views["top"].large.zones[Zone.FRINGE]
    front = float(HAIRLINES[key].curve(SHEET_HEAD, 0.0)[1])
    assert -lowest(path) == pytest.approx(front, abs=0.6)


def lowest(path: str) -> float:
    """The smallest y of a path of relative lines."""
    numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", path.partition("z")[0])]
    steps = np.array(numbers).reshape(-1, 2)
    return float(steps[:, 1].cumsum().min())


def test_a_hairline_that_is_not_drawn_is_refused() -> None:
    with pytest.raises(HeadError, match="There is no hairline “bald”"):
        outlines("bald")


def test_a_plan_is_drawn_on_the_outline_of_its_hairline() -> None:
    worked = plan("face_frame", FoilSettings(), hairline=HAIRLINES["receding"])
    for view in ("front", "top"):
        path = outlines("receding")[view].large.zones[Zone.TOP]
        assert path in view_svg(view, Drawing(plan=worked))
        assert path not in view_svg(view, Drawing())


def test_every_view_shows_its_own_sides() -> None:
    seen = {view: set(outlines()[view].large.zones) for view in VIEWS}
    assert Zone.SIDE_RIGHT not in seen["left"]
    assert Zone.SIDE_LEFT not in seen["right"]
    assert {Zone.FRINGE, Zone.TOP, Zone.CROWN} <= seen["top"]
    assert seen["back"] >= {Zone.CROWN, Zone.OCCIPITAL, Zone.NAPE}


def test_words_stand_inside_their_zones() -> None:
    for view in VIEWS:
        for zone, (x, y) in outlines()[view].labels.items():
            found = locate(view, x, -y)
            assert found is not None
            assert found.zone is zone


def test_the_sketch_and_the_boxes_are_there_for_every_view() -> None:
    assert set(ANATOMY) == set(BOX_CORNER) == set(VIEWS)
    assert {shape.box[2:] for shape in outlines().values()} == {(WIDTH_MM, HEIGHT_MM)}


def test_path_numbers_are_short_and_exact() -> None:
    assert [number(n) for n in (0, 5, -50, 100, -1234, 1010)] == [
        "0", ".05", "-.5", "1", "-12.34", "10.1",
    ]  # fmt: skip
    assert polygon(np.array([[1.0, 2.0], [1.5, 1.0], [0.0, 0.0]])) == "M1 2l.5-1-1.5-1z"
