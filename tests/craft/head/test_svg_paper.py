from __future__ import annotations

from pathlib import Path

import pytest

from academy.craft.head.svg import Drawing, view_svg
from academy.craft.head.svg_paper import on_paper, paper_rules
from academy.craft.head.zones import Zone

CSS = Path(__file__).resolve().parents[3] / "static" / "css"
TOKENS, HEAD = ((CSS / name).read_text(encoding="utf-8") for name in ("tokens.css", "head.css"))


def test_the_rules_for_paper_need_no_custom_property_and_no_shorthand_font() -> None:
    rules = paper_rules(TOKENS, HEAD)
    assert "var(" not in rules
    assert " font:" not in rules.replace("{", "{ ")
    for part in ("skin", "zone", "edge", "foil", "foil-edge", "no", "no-t", "label", "fault"):
        assert f".hd-{part}" in rules
    assert "sheet5" not in rules


def test_a_property_without_a_value_is_an_error() -> None:
    with pytest.raises(KeyError, match="hair"):
        paper_rules(":root { --ink: #000; }", ".hd-zone { fill: var(--hair); }")


def test_the_first_value_of_a_property_counts_and_may_use_another() -> None:
    tokens = ":root { --ink: #111; --edge: var(--ink); } .dark { --ink: #eee; }"
    assert paper_rules(tokens, ".hd-edge { stroke: var(--edge); }") == ".hd-edge{stroke: #111;}"


def test_heat_on_paper_has_its_hatches_and_a_halo_below_each_figure() -> None:
    svg = on_paper(view_svg("left", Drawing(heat={Zone.TOP: 0.3})), ".hd-skin{fill: #fff;}")
    assert "<style>.hd-skin{fill: #fff;}</style>" in svg
    assert 'id="k3"' in svg
    assert svg.index('class="hd-value h3 hd-halo"') < svg.index('class="hd-value h3"')


def test_a_view_without_heat_only_gains_its_rules() -> None:
    plain = view_svg("left", Drawing())
    assert on_paper(plain, "x").replace("<style>x</style>", "") == plain
