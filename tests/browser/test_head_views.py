"""The head sheet as an instrument: layers, one view alone, choosing; with and without script."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "sheets"
TOUCH, GLOVE = 44, 56


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    words["at"] = site.behind("tokens", slug=SLUG, key="slices")
    return words


@pytest.fixture
def open_module(come: Callable[..., Visitor], told: dict[str, Any]) -> Callable[..., Visitor]:
    """A module with a panel of foils in front of somebody, the educator if nobody is named."""

    def opened(device: str, role: str = "educator", **how: object) -> Visitor:
        visitor = come(device, **how)
        visitor.sign_in(told["people"][role], told["password"])
        visitor.go(f"/{SLUG}/modules/{told['at']['module']}/")
        return visitor

    return opened


def shown_views(page: Page) -> list[str]:
    return page.locator(".sheet5 figure:visible figcaption").all_inner_texts()


def switch(within: Page | Locator, word: str) -> Locator:
    return within.get_by_role("checkbox", name=word, exact=True)


def drawn(page: Page, key: str) -> Locator:
    return page.locator(f"svg.hd {key}")


@pytest.mark.parametrize("script", [True, False])
@pytest.mark.parametrize("device", ["desktop", "phone"])
def test_layers_are_switched_with_and_without_script(
    open_module: Callable[..., Visitor], device: str, script: bool
) -> None:
    page = open_module(device, script=script).page
    foils = page.locator("svg[data-view=back] .hd-no").first
    partings = page.locator("svg[data-view=back] [data-layer=partings]")
    assert (foils.is_visible(), partings.is_visible()) == (True, False)
    switch(page, "Foils").uncheck()
    switch(page, "Partings").check()
    assert (foils.is_visible(), partings.is_visible()) == (False, True)
    switch(page, "Foils").check()
    assert foils.is_visible()


def test_zones_can_be_taken_off_and_the_hair_stays(open_module: Callable[..., Visitor]) -> None:
    page = open_module("desktop").page
    zone = page.locator("svg[data-view=back] .hd-zone.off").first
    fill = "one => getComputedStyle(one).fill"
    before = zone.evaluate(fill)
    switch(page, "Zones").uncheck()
    hair = page.locator("svg[data-view=back] .hd-zone:not(.off)").first.evaluate(fill)
    assert zone.evaluate(fill) == hair != before


def test_two_sheets_on_a_page_do_not_disturb_each_other(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("desktop").page
    page.evaluate(
        """() => { const one = document.querySelector(".hd-sheet");
        one.after(one.cloneNode(true)); }"""
    )
    sheets = page.locator(".hd-sheet")
    switch(sheets.nth(1), "Foils").uncheck()
    sheets.nth(1).get_by_label("Larger: Back").check()
    foils = [one.locator(".hd-no").first.is_visible() for one in sheets.all()]
    assert foils == [True, False]
    assert [one.locator("figure:visible").count() for one in sheets.all()] == [6, 1]


@pytest.mark.parametrize("script", [True, False])
@pytest.mark.parametrize("device", ["desktop", "phone"])
def test_one_view_is_shown_larger_and_the_others_come_back(
    open_module: Callable[..., Visitor], device: str, script: bool
) -> None:
    page = open_module(device, script=script).page
    back = page.locator("svg[data-view=back]")
    small = back.bounding_box()
    page.get_by_label("Larger: Back").check()
    large, strip = back.bounding_box(), page.locator(".sheet5").bounding_box()
    assert small
    assert large
    assert strip
    assert large["width"] > small["width"] + 20
    assert large["width"] == pytest.approx(min(strip["width"], 62 * 16), abs=2)
    assert [words.split()[0] for words in shown_views(page)] == ["Back"]
    page.get_by_label("Larger: Back").uncheck()
    assert len(shown_views(page)) >= 5


def test_escape_brings_the_other_views_back_and_keeps_the_focus(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("desktop").page
    larger = page.get_by_label("Larger: Back")
    larger.focus()
    page.keyboard.press("Space")
    assert larger.is_checked()
    page.keyboard.press("Escape")
    assert not larger.is_checked()
    assert len(shown_views(page)) >= 5
    assert larger.evaluate("one => one === document.activeElement")


@pytest.mark.parametrize("device", ["desktop", "phone"])
def test_a_foil_is_chosen_by_keyboard_and_shows_in_the_drawing(
    open_module: Callable[..., Visitor], device: str
) -> None:
    page = open_module(device).page
    page.locator(".hd-sheet summary").focus()
    page.keyboard.press("Enter")
    row = page.get_by_role("button", name="Foil 3, ")
    row.focus()
    assert row.get_attribute("aria-pressed") == "false"
    page.keyboard.press("Enter")
    assert row.get_attribute("aria-pressed") == "true"
    assert row.evaluate("one => one === document.activeElement")
    said = page.locator(".hd-sheet [role=status]").inner_text()
    assert said == row.get_attribute("aria-label")
    assert said.startswith("Foil 3, occipital, ")
    assert said.endswith(", laid after 2")
    assert "\N{NO-BREAK SPACE}mm, beside " in said
    chosen = drawn(page, "g.chosen")
    assert {one.get_attribute("data-foil") for one in chosen.all()} == {"3"}
    page.keyboard.press("Enter")
    assert row.get_attribute("aria-pressed") == "false"
    assert (chosen.count(), page.locator(".hd-sheet [role=status]").inner_text()) == (0, "")


def test_a_zone_is_chosen_by_its_row_and_by_a_press_on_the_drawing(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("desktop").page
    row = page.get_by_role("button", name="Occipital, 36 % of the hair, foils 1 to ")
    row.press("Space")
    assert row.get_attribute("aria-pressed") == "true"
    zones = {one.get_attribute("data-zone") for one in drawn(page, ".hd-zone.chosen").all()}
    assert zones == {"occipital"}
    switch(page, "Foils").uncheck()
    back = page.locator("svg[data-view=back]")
    box = back.bounding_box()
    assert box
    back.click(position={"x": box["width"] / 2, "y": box["height"] * 0.42})
    assert row.get_attribute("aria-pressed") == "false"


def test_a_finger_beside_a_foil_chooses_it_and_its_row_says_so(
    open_module: Callable[..., Visitor],
) -> None:
    visitor = open_module("phone", "apprentice")
    page = visitor.page
    page.get_by_label("Larger: Back").check()
    disc = page.locator("svg[data-view=back] [data-foil='5'] circle")
    disc.scroll_into_view_if_needed()
    spot = disc.bounding_box()
    assert spot
    page.touchscreen.tap(spot["x"] + spot["width"] / 2, spot["y"] + spot["height"] + 2)
    page.locator(".hd-sheet [role=status]", has_text="Foil ").wait_for()
    number = page.locator(".hd-sheet tr.chosen th").text_content()
    assert number == "5"


def test_what_can_be_pressed_is_large_enough_for_a_finger(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("phone").page
    page.locator(".hd-sheet summary").click()
    for one in page.locator(".hd-choose, .hd-switches label, .hd-larger").all():
        box = one.bounding_box()
        assert box
        assert box["height"] >= TOUCH
        assert box["width"] >= TOUCH


def test_a_result_sheet_has_targets_for_gloves(
    come: Callable[..., Visitor], site: Site, told: dict[str, Any]
) -> None:
    site.behind("passed", slug=SLUG, key="quarters")
    site.behind("practised", slug=SLUG, key="slices")
    head = site.behind("head", slug=SLUG, key="slices")
    visitor = come("tablet")
    visitor.sign_in(told["people"]["assessor"], told["password"])
    visitor.go(f"/{SLUG}/assessment/results/{head['submitted']}/")
    pressed = visitor.page.locator(".hd-choose, .hd-larger").all()
    assert len(pressed) > 5
    for one in pressed:
        box = one.bounding_box()
        assert box
        assert box["height"] >= GLOVE
    visitor.page.get_by_role("button", name="Occipital, 36").click()
    visitor.reads("of marks lost")
    visitor.look()


def test_without_script_the_table_reads_and_offers_nothing_to_press(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("phone", script=False).page
    page.locator(".hd-sheet summary").click()
    rows = page.locator(".hd-table[data-of=foil] tbody tr")
    assert rows.count() > 8
    assert rows.first.inner_text().split()[0] == "1"
    assert page.locator(".hd-table button").count() == 0


def test_on_paper_the_views_and_the_table_stand_and_no_switch(
    open_module: Callable[..., Visitor],
) -> None:
    page = open_module("phone").page
    page.emulate_media(media="print")
    assert not page.locator(".hd-switches").is_visible()
    assert page.locator(".hd-larger:visible").count() == 0
    assert page.locator(".sheet5 svg.hd:visible").count() == 5
    assert page.locator(".hd-table[data-of=zone]").is_visible()


def test_the_sheet_has_no_trouble_at_any_size(open_module: Callable[..., Visitor]) -> None:
    visitor = open_module("desktop")
    visitor.page.locator(".hd-sheet summary").click()
    visitor.page.get_by_role("button", name="Foil 2, ").click()
    visitor.look()
    visitor.page.get_by_label("Larger: Back").check()
    visitor.look()
