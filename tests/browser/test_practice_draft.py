"""What is typed into a session outlives a lost sign-in, and nothing outlives a sign-out."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "drafts"
ZONES = ("fringe", "top", "crown", "side_left", "side_right", "occipital", "nape")
# A point at which a press really meets the drawn zone, or null.
POINT_OF = """zone => {
  for (const drawn of document.querySelectorAll(`.small-heads [data-zone=${zone}]`)) {
    drawn.scrollIntoView({block: "center"});
    const box = drawn.getBoundingClientRect();
    for (let i = 1; i < 20; i++) for (let j = 1; j < 20; j++) {
      const x = box.x + box.width * i / 20, y = box.y + box.height * j / 20;
      if (document.elementFromPoint(x, y) === drawn) return [x, y];
    }
  }
  return null;
}"""


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    return words


@pytest.fixture
def apprentice(come: Callable[..., Visitor], told: dict[str, Any]) -> Visitor:
    """Signed in on a phone, with the empty form of a session before them."""
    visitor = come("phone")
    visitor.sign_in(told["people"]["apprentice"], told["password"])
    visitor.go(f"/{SLUG}/practice/new/")
    visitor.page.get_by_role("link", name="Back slices").first.click()
    # Its scripts have run once the page is loaded.
    visitor.page.wait_for_url("**/practice/new/?module=*")
    return visitor


def kept(visitor: Visitor) -> str:
    return str(visitor.page.evaluate("JSON.stringify(localStorage)"))


def test_a_session_typed_with_gloves_survives_and_is_logged_once(
    apprentice: Visitor, site: Site, told: dict[str, Any]
) -> None:
    page, address = apprentice.page, apprentice.page.url
    for zone in ZONES:
        page.mouse.click(*page.evaluate(POINT_OF, zone))
        assert page.is_checked(f"input[name=zones][value={zone}]"), zone
    page.uncheck("input[name=zones][value=nape]")
    assert page.locator(".small-heads [data-zone=nape].sel").count() == 0
    page.fill("input[name=minutes]", "55")
    page.click("[data-step='1']")
    page.click("[data-step='1']")
    page.select_option("select[name=supervisor]", "nobody")
    page.fill("textarea[name=went_well]", "Straight lines.")

    page.context.clear_cookies(name="sessionid")
    page.click("button[form=sitting]")
    page.wait_for_url("**/account/login/**")
    assert site.behind("sessions", slug=SLUG) == 0
    apprentice.sign_in(told["people"]["apprentice"], told["password"])
    apprentice.go(address)
    assert page.is_visible("[data-draft-note]")
    assert page.input_value("input[name=u0]") == "2"
    assert page.input_value("textarea[name=went_well]") == "Straight lines."
    assert page.locator("input[name=zones]:checked").count() == len(ZONES) - 1

    page.evaluate("for (let n = 0; n < 2; n++) document.querySelector('[form=sitting]').click()")
    page.wait_for_selector("[data-draft-logged]")
    page.wait_for_load_state()
    assert site.behind("sessions", slug=SLUG) == 1
    assert "Straight lines." not in kept(apprentice)


def test_signing_out_leaves_nothing_behind(apprentice: Visitor) -> None:
    apprentice.page.fill("textarea[name=went_well]", "Straight lines.")
    assert "Straight lines." in kept(apprentice)
    apprentice.press("Sign out")
    apprentice.page.wait_for_url("**/account/login/**")
    assert kept(apprentice) == "{}"
