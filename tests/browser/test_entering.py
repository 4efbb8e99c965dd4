"""A paper form is typed by keyboard alone, and the pages around it are sound at every size."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "forms"
HERE = "document.activeElement.{}"


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    return words


@pytest.fixture
def educator(come: Callable[..., Visitor], told: dict[str, Any]) -> Visitor:
    visitor = come("desktop")
    visitor.sign_in(told["people"]["educator"], told["password"])
    return visitor


def at(visitor: Visitor, what: str) -> str:
    return str(visitor.page.evaluate(HERE.format(what)))


def test_a_form_is_found_typed_and_handed_in_by_keyboard(educator: Visitor, site: Site) -> None:
    token = site.behind("trial", slug=SLUG, title="Every kind")["token"]
    page = educator.page
    educator.go(f"/{SLUG}/exercises/{token}/enter/")
    educator.look()
    number = page.locator(".rows .num").first.inner_text()
    assert at(educator, "id") == "id_find"
    page.keyboard.type(number.lower())
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/{token}/enter/*/")
    educator.reads(number)
    educator.look()
    fields = page.locator("#entered input:not([type=hidden]), #entered select")
    page.reload()
    page.locator("#entered :focus").wait_for()
    for number_of_field in range(fields.count()):
        assert at(educator, "id") == fields.nth(number_of_field).get_attribute("id")
        kind = at(educator, "type")
        if kind == "checkbox":
            page.keyboard.press("Space")
        elif kind == "text":
            page.keyboard.type("12")
        page.keyboard.press("Enter")
    assert at(educator, "value") == "hand-in"
    educator.reads("draft kept")
    page.keyboard.press("Enter")
    page.wait_for_url("**/enter/?done=*")
    educator.reads("The whole marked sheet")
    assert "Tamsin Orle: " in educator.heading
    educator.look()
    assert educator.trouble == []


def test_what_is_typed_is_read_beside_the_field_and_kept_when_it_is_left(
    educator: Visitor, site: Site
) -> None:
    token = site.behind("paper", slug=SLUG, title="Kept drafts")["token"]
    page = educator.page
    educator.go(f"/{SLUG}/exercises/{token}/enter/")
    page.get_by_role("link", name="Enter").last.click()
    page.wait_for_url(f"**/{token}/enter/*/")
    page.locator("#entered :focus").wait_for()  # the browser does so when it has drawn the page
    page.keyboard.type("30")
    educator.reads("Reads as 30 g")
    assert site.behind("kept", slug=SLUG, title="Kept drafts") == {}
    page.keyboard.press("Enter")
    educator.reads("draft kept")
    kept = site.behind("kept", slug=SLUG, title="Kept drafts")
    assert next(iter(kept.values())) == "30"
    assert educator.trouble == []


def test_statistics_and_prints_are_sound(educator: Visitor, site: Site) -> None:
    token = site.behind("trial", slug=SLUG, title="Looked at")["token"]
    for where in (f"{token}/", f"{token}/statistics/", "statistics/", f"{token}/print/"):
        educator.go(f"/{SLUG}/exercises/{where}")
        educator.look()
    assert educator.trouble == []
