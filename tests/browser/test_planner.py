"""The planner in a browser: figures follow each change, an own pattern is drawn by taps."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "planned"
AT = f"/{SLUG}/modules/planner/"


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    return words


@pytest.fixture
def educator(come: Callable[..., Visitor], told: dict[str, Any]) -> Visitor:
    visitor = come("desktop")
    visitor.sign_in(told["people"]["educator"], told["password"])
    return visitor


def count(visitor: Visitor) -> int:
    figures = visitor.page.locator("#planned .figs").first
    return int(figures.locator("div", has_text="Foils drawn").locator("dd").inner_text())


def test_sheet_and_figures_follow_a_change_and_a_mistake_leaves_them(educator: Visitor) -> None:
    page = educator.page
    educator.go(AT)
    educator.look()
    before = count(educator)
    page.get_by_label("Hair left between").fill("12")
    with page.expect_response("**/planner/**"):
        page.get_by_label("Hair left between").press("Tab")
    page.wait_for_function("document.activeElement.id !== 'id_left'")
    educator.page.locator("#plan-said", has_text="to expect").wait_for(state="attached")
    fewer = count(educator)
    assert fewer < before
    assert "left=12" in page.url
    page.get_by_label("Section in the foil").fill("50")
    page.get_by_label("Section in the foil").press("Tab")
    educator.reads("Until then the last plan stands.")
    assert page.get_by_label("Section in the foil").get_attribute("aria-invalid") == "true"
    assert count(educator) == fewer
    assert page.get_by_label("Section in the foil").input_value() == "50"
    assert educator.trouble == []


def test_an_own_pattern_is_drawn_by_taps_moved_and_saved(educator: Visitor) -> None:
    page = educator.page
    educator.go(f"{AT}?pattern=custom&direction=ear_to_ear")
    for x, y in ((0.4, 0.45), (0.6, 0.45), (0.6, 0.7), (0.4, 0.7)):
        svg = page.locator('#planned svg[data-view="top"]').first
        size = svg.bounding_box()
        assert size is not None
        before = page.locator(".corner-rows li").count()
        svg.click(position={"x": size["width"] * x, "y": size["height"] * y})
        page.locator(".corner-rows li").nth(before).wait_for()
    page.locator("#planned .figs", has_text="Foils drawn").first.wait_for()
    assert count(educator) >= 1
    educator.look()
    was = page.locator("#id_corners").input_value()
    page.locator("#do-up-1").focus()
    with page.expect_response("**/planner/**"):
        page.keyboard.press("Enter")
    page.wait_for_function(f"document.getElementById('id_corners').value !== {was!r}")
    page.wait_for_function("document.activeElement.id === 'do-up-1'")
    assert educator.trouble == []


def test_an_apprentice_plans_on_a_phone(come: Callable[..., Visitor], told: dict[str, Any]) -> None:
    visitor = come("phone")
    visitor.sign_in(told["people"]["apprentice"], told["password"])
    visitor.go(f"{AT}?pattern=diamond")
    visitor.look()
    assert visitor.page.get_by_role("button", name="Save the sheet").count() == 0
    visitor.go(f"{AT}print/?pattern=diamond")
    assert visitor.page.locator("svg.hd").count() == 5
    assert visitor.trouble == []
