"""What is typed into a session outlives a lost sign-in, and nothing outlives a sign-out."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Page, sync_playwright

from academy.curriculum.services import load_modules
from academy.curriculum.services.loading import read_modules
from academy.people.models import Role
from academy.practice.models import PracticeSession
from tests.conftest import missing
from tests.site.factories import PASSWORD, AcademyFactory, MembershipFactory, PersonFactory

if TYPE_CHECKING:
    from pytest_django.live_server_helper import LiveServer

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
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


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch) -> Iterator[Page]:
    program = shutil.which("chromium") or shutil.which("google-chrome")
    if program is None:
        missing("No Chromium was found, so nothing was tried in a browser.")
    # Playwright keeps an event loop in this thread, which is not a reason to refuse the database.
    monkeypatch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        context = browser.new_context(
            viewport={"width": 390, "height": 844},
            locale="en-GB",
            timezone_id="Europe/London",
        )
        yield context.new_page()
        browser.close()


@pytest.fixture
def email() -> str:
    academy = AcademyFactory(slug="larkmere")
    contents = {content.key: content for content in read_modules()}
    chosen = [contents[key] for key in ("hygiene", "quarters")]
    load_modules(academy=academy, by=None, contents=chosen)
    person = PersonFactory()
    MembershipFactory(academy=academy, person=person, role=Role.APPRENTICE)
    return str(person.email)


def sign_in(page: Page, site: str, email: str) -> None:
    page.goto(f"{site}/account/login/")
    page.fill("input[name=login]", email)
    page.fill("input[name=password]", PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url(lambda url: "login" not in url)


def kept(page: Page) -> str:
    return str(page.evaluate("JSON.stringify(localStorage)"))


def test_a_session_typed_with_gloves_survives_and_is_logged_once(
    page: Page, live_server: LiveServer, email: str
) -> None:
    sign_in(page, live_server.url, email)
    page.goto(f"{live_server.url}/larkmere/practice/new/")
    page.click("text=Sectioning the head in quarters")
    page.wait_for_selector("form#sitting")
    address = page.url
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
    assert not PracticeSession.objects.exists()
    sign_in(page, live_server.url, email)
    page.goto(address)
    assert page.is_visible("[data-draft-note]")
    assert page.input_value("input[name=u0]") == "2"
    assert page.input_value("textarea[name=went_well]") == "Straight lines."
    assert page.locator("input[name=zones]:checked").count() == len(ZONES) - 1

    page.evaluate("for (let n = 0; n < 2; n++) document.querySelector('[form=sitting]').click()")
    page.wait_for_selector("[data-draft-logged]")
    assert PracticeSession.objects.count() == 1
    assert "Straight lines." not in kept(page)


def test_signing_out_leaves_nothing_behind(page: Page, live_server: LiveServer, email: str) -> None:
    sign_in(page, live_server.url, email)
    page.goto(f"{live_server.url}/larkmere/practice/new/")
    page.click("text=Sectioning the head in quarters")
    page.fill("textarea[name=went_well]", "Straight lines.")
    assert "Straight lines." in kept(page)
    page.click("text=Sign out")
    page.wait_for_url("**/account/login/**")
    assert kept(page) == "{}"
