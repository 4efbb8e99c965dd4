"""Pages at twice the size, for people who ask for less motion, and by keyboard alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.browser.visitor import SIDEWAYS

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "comfort"
MOVING = """() => [...document.querySelectorAll("*")].filter((one) => {
  const style = getComputedStyle(one);
  const seconds = (text) => Math.max(...text.split(",").map((part) => parseFloat(part)));
  const turns = style.animationName !== "none" && seconds(style.animationDuration) > 0.05;
  return turns || seconds(style.transitionDuration) > 0.05;
}).map((one) => `${one.tagName}.${one.className}`).slice(0, 5)"""

# How much of its line each bar of a reached target fills, in percent.
FILLED = """() => [...document.querySelectorAll(".goal:not(.weeks) .b1[width='100']")].map((bar) =>
  Math.round(100 * bar.getBoundingClientRect().width / bar.closest("dl").clientWidth))"""


@pytest.fixture(scope="module")
def pages(site: Site) -> dict[str, list[str]]:
    """The main pages of each role, by path."""
    told = site.behind("academy", slug=SLUG)
    site.behind("passed", slug=SLUG, key="quarters")
    site.behind("practised", slug=SLUG, key="slices")
    at = site.behind("tokens", slug=SLUG, key="slices")
    home = f"/{SLUG}"
    return {
        "password": [told["password"]],
        told["people"]["apprentice"]: [
            f"{home}/",
            f"{home}/modules/{at['module']}/",
            f"{home}/practice/new/?module={at['module']}",
            f"{home}/progress/{at['person']}/",
        ],
        told["people"]["educator"]: [
            f"{home}/",
            f"{home}/modules/",
            f"{home}/exercises/new/",
            f"{home}/progress/{at['person']}/{at['module']}/",
        ],
        told["people"]["manager"]: [f"{home}/", f"{home}/people/", f"{home}/record/"],
    }


def people(pages: dict[str, list[str]]) -> list[tuple[str, str, list[str]]]:
    [password] = pages["password"]
    return [(who, password, paths) for who, paths in pages.items() if who != "password"]


def test_at_twice_the_size_nothing_is_pushed_sideways(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    """A desktop of 1280 px at 200 % is a page of 640 px, of which each holds two."""
    wrong = []
    for email, password, paths in people(pages):
        visitor = come("desktop")
        visitor.sign_in(email, password)
        visitor.page.set_viewport_size({"width": 640, "height": 400})
        for path in paths:
            visitor.go(path)
            if sideways := visitor.page.evaluate(SIDEWAYS):
                wrong.append(f"{path}: {sideways}")
    assert wrong == []


def test_with_letters_twice_as_large_nothing_is_cut_off(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    wrong = []
    for email, password, paths in people(pages):
        visitor = come("desktop")
        visitor.sign_in(email, password)
        for path in paths:
            visitor.go(path)
            # As a browser does whose letters are set to 32 px.
            visitor.page.evaluate("document.documentElement.style.fontSize = '200%'")
            if sideways := visitor.page.evaluate(SIDEWAYS):
                wrong.append(f"{path}: {sideways}")
    assert wrong == []


def test_the_bar_of_a_reached_target_goes_to_the_end_of_its_line(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    email, password, _ = people(pages)[0]
    visitor = come("phone")
    visitor.sign_in(email, password)
    visitor.go(f"/{SLUG}/practice/")
    filled = visitor.page.evaluate(FILLED)
    assert filled
    assert set(filled) == {100}


def test_nothing_moves_for_those_who_ask_for_less_motion(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    wrong = []
    for email, password, paths in people(pages):
        visitor = come("desktop", motion="reduce")
        visitor.sign_in(email, password)
        for path in paths:
            visitor.go(path)
            wrong += [f"{path}: {one}" for one in visitor.page.evaluate(MOVING)]
    assert wrong == []


def test_the_dark_page_is_readable_too(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    """The judge finds no fault with the dark inks either."""
    for email, password, paths in people(pages):
        visitor = come("desktop")
        visitor.sign_in(email, password)
        visitor.context.add_cookies([{"name": "theme", "value": "dark", "url": visitor.home}])
        for path in paths[:2]:
            visitor.go(path)
            assert visitor.page.locator("html").get_attribute("data-bs-theme") == "dark"
            visitor.look()


def test_the_keyboard_alone_signs_in(
    come: Callable[..., Visitor], pages: dict[str, list[str]]
) -> None:
    email, password, _ = people(pages)[0]
    visitor = come("desktop")
    visitor.go("/account/login/")
    keyboard, page = visitor.page.keyboard, visitor.page
    keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent").strip() == "Skip to the page"
    keyboard.press("Enter")
    for _ in range(6):
        keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "login":
            break
    keyboard.type(email)
    keyboard.press("Tab")
    keyboard.type(password)
    keyboard.press("Enter")
    page.wait_for_url(f"{visitor.home}/{SLUG}/")
