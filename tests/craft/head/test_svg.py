from __future__ import annotations

import re
from itertools import combinations
from math import hypot
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings as run, strategies as st

from academy.craft.head.foils import plan
from academy.craft.head.outlines import outlines
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.sheet import VIEWS, locate, place
from academy.craft.head.svg import (
    Drawing,
    Fault,
    hatch_defs,
    heat_class,
    view_svg,
    view_svgs,
)
from academy.craft.head.zones import Zone

SVG = "{http://www.w3.org/2000/svg}"
HALF = plan("half_head", FoilSettings())


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - our own output


def drawn(view: str, drawing: Drawing, *, small: bool = False) -> ET.Element:
    return parsed(view_svg(view, drawing, small=small))


def classed(root: ET.Element, name: str) -> list[ET.Element]:
    return [node for node in root.iter() if name in node.get("class", "").split()]


def test_all_views_share_one_scale_and_box_size() -> None:
    sizes = {tuple(drawn(view, Drawing()).get("viewBox", "").split()[2:]) for view in VIEWS}
    assert sizes == {("218", "262")}


@pytest.mark.parametrize("view", VIEWS)
def test_a_drawing_carries_classes_and_no_colour_or_style(view: str) -> None:
    drawing = Drawing(heat={Zone.TOP: 0.3}, plan=HALF, faults=[Fault(1, 60, 50, "Slip")])
    text = view_svg(view, drawing)
    assert not re.search(r"style=|stroke=|\bon\w+=|#[0-9a-f]{3,6}|rgb\(", text)
    assert {node.get("fill") for node in parsed(text).iter()} <= {None, "url(#k3)"}


def test_the_words_of_a_person_are_escaped() -> None:
    drawing = Drawing(
        values={Zone.TOP: "<b>3</b>"}, faults=[Fault(1, 90, 50, '"><script>alert(1)</script>')]
    )
    text = view_svg("left", drawing)
    assert "<b>" not in text
    assert "<script" not in text
    assert parsed(text).get("role") == "img"


def test_each_zone_carries_its_state_and_value() -> None:
    drawing = Drawing(states={Zone.CROWN: "part"}, values={Zone.CROWN: "3 of 5"})
    root = drawn("back", drawing)
    assert [node.text for node in classed(root, "hd-value")] == ["3 of 5"]
    assert len(classed(root, "part")) == 3  # zone, word, value
    assert root.get("aria-label") == "Back of the head. crown: levels missing, 3 of 5."


def test_heat_is_a_tint_a_hatch_and_a_figure() -> None:
    root = drawn("left", Drawing(heat={Zone.SIDE_LEFT: 0.27, Zone.TOP: 0.02}))
    assert len(classed(root, "h3")) == 3
    assert [node.get("fill") for node in classed(root, "hd-hz")] == ["url(#k3)"]
    figures = {node.text for node in classed(root, "hd-value")}
    assert figures == {"2\N{NO-BREAK SPACE}%", "27\N{NO-BREAK SPACE}%"}
    assert "27 % of marks lost" in root.get("aria-label", "")
    assert 'id="k3"' in hatch_defs()


@pytest.mark.parametrize(
    ("share", "level"),
    [
        (0, 0),
        (0.044, 0),
        (0.045, 1),
        (0.05, 1),
        (0.15, 2),
        (0.25, 3),
        (0.349, 4),
        (0.35, 4),
        (1, 4),
    ],
)
def test_a_heat_class_follows_the_printed_per_cent(share: float, level: int) -> None:
    assert heat_class(share) == level


def test_every_drawn_zone_says_which_it_is() -> None:
    keys = {node.get("data-zone") for node in classed(drawn("right", Drawing()), "hd-zone")}
    assert keys == {"fringe", "top", "crown", "side_right", "occipital", "nape"}


def test_every_foil_number_is_printed_in_some_view() -> None:
    seen = {
        node.text
        for svg in view_svgs(Drawing(plan=HALF)).values()
        for node in classed(parsed(svg), "hd-no-t")
    }
    assert seen == {str(foil.number) for foil in HALF.foils}


def test_zones_that_a_plan_leaves_alone_are_drawn_as_off() -> None:
    off = classed(drawn("back", Drawing(plan=HALF, labels=False)), "off")
    assert len(off) == 2  # occipital and nape


def test_quarters_are_drawn_as_lines_without_foils() -> None:
    quarters = plan("quarters", FoilSettings(6, 0))
    root = drawn("back", Drawing(plan=quarters, labels=False))
    assert classed(root, "hd-foil") == []
    assert len(classed(root, "hd-section")) == 1
    assert len(classed(root, "hd-parting")) == 1
    assert root.get("aria-label") == "Back of the head. Pattern: quarters."


def test_a_pattern_of_its_own_shape_shows_its_border() -> None:
    diamond = plan("diamond", FoilSettings(6, 12))
    border = classed(drawn("top", Drawing(plan=diamond)), "hd-section")[0].get("d", "")
    assert len(border) > 60
    assert "hd-section" not in view_svg("top", Drawing(plan=HALF))


def test_the_words_for_a_plan_tell_which_foils_a_view_shows() -> None:
    words = drawn("front", Drawing(plan=HALF)).get("aria-label", "")
    assert words.startswith("Front of the head. Pattern: half head. Foils seen here")
    assert words.endswith(f"{HALF.foils[-1].number}.")


@pytest.mark.parametrize("view", VIEWS)
def test_a_small_view_drops_words_numbers_and_fine_lines(view: str) -> None:
    drawing = Drawing(plan=HALF, states={Zone.TOP: "done"}, faults=[Fault(1, 30, 60, "Slip")])
    root = drawn(view, drawing, small=True)
    assert list(root.iter(f"{SVG}text")) == []
    bare = drawn(view, Drawing(), small=True)
    assert classed(bare, "hd-fine") == []
    assert len(ET.tostring(bare)) < 4_000


faults = st.lists(
    st.tuples(st.integers(-180, 180), st.integers(-45, 89)), min_size=1, max_size=9, unique=True
)


@given(faults, st.sampled_from(VIEWS))
@run(deadline=None, max_examples=60)
def test_a_fault_has_its_dot_on_the_place_and_its_ring_clear_of_hair_and_dots(
    places: list[tuple[int, int]], view: str
) -> None:
    marks = [Fault(n, az, el, "Slip") for n, (az, el) in enumerate(places, 1)]
    left, top, width, height = outlines()[view].box
    root = drawn(view, Drawing(faults=marks))
    groups = classed(root, "hd-fault")
    visible = [m for m in marks if place(view, m.azimuth_deg, m.elevation_deg)[2] > 0.1]
    assert len(groups) == len(visible)
    dots, rings = [], []
    for group, mark in zip(groups, visible, strict=True):
        dot, ring = (
            (float(node.get("cx", 0)), float(node.get("cy", 0)))
            for node in group.iter(f"{SVG}circle")
        )
        u, v, _ = place(view, mark.azimuth_deg, mark.elevation_deg)
        assert dot == pytest.approx((u, -v), abs=0.051)
        dots.append(dot)
        rings.append(ring)
    for x, y in rings:
        assert left + 10 < x < left + width - 10
        assert top + 10 < y < top + height - 10
        under = locate(view, x, -y)
        assert under is None or under.zone is None
        assert all(hypot(x - a, y - b) > 9.5 + 2.6 for a, b in dots)
    assert all(hypot(a - x, b - y) > 19 for (a, b), (x, y) in combinations(rings, 2))
