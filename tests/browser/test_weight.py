"""What the pages weigh, as it comes over the wire: a first visit, and every page after it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import CDPSession

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "weight"
FIRST_VISIT = 120_000
FOLLOWING = 15_000
# The mono letters (18 kB) and htmx (17 kB), each once.
KEPT_FOR_GOOD = 35_000
DEVICES = {
    "apprentice": "phone",
    "assessor": "tablet",
    "educator": "desktop",
    "verifier": "desktop",
    "manager": "desktop",
}


class Scales:
    """Adds up the bytes of a page's answers with their headers, as the network log has them."""

    def __init__(self, wire: CDPSession) -> None:
        self.bytes = 0
        self.stored: set[str] = set()
        wire.on("Network.requestServedFromCache", lambda told: self.stored.add(told["requestId"]))
        wire.on("Network.loadingFinished", self._weigh)
        wire.send("Network.enable")

    def _weigh(self, told: dict[str, object]) -> None:
        if told["requestId"] not in self.stored:
            self.bytes += int(str(told["encodedDataLength"]).partition(".")[0])


def open_page(visitor: Visitor, scales: Scales, path: str) -> int:
    """How much the page brought."""
    scales.bytes = 0
    visitor.go(path)
    visitor.page.evaluate("document.fonts.ready.then(() => true)")
    # The last answers may still be on their way into the log.
    visitor.page.wait_for_timeout(120)
    return scales.bytes


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, dict[str, str]]:
    words: dict[str, dict[str, str]] = site.behind("academy", slug=SLUG)
    site.behind("passed", slug=SLUG, key="quarters")
    site.behind("practised", slug=SLUG, key="slices")
    words["paper"] = site.behind("paper", slug=SLUG, title="Developer")
    words["head"] = site.behind("head", slug=SLUG, key="slices")
    words["at"] = site.behind("tokens", slug=SLUG, key="slices")
    return words


def pages_of(visitor: Visitor, role: str, told: dict[str, dict[str, str]]) -> list[str]:
    """Where the bar at the top leads, and the pages on which the role's work is done."""
    read = "all => all.map(one => one.getAttribute('href'))"
    found: list[str] = visitor.page.eval_on_selector_all(".nav-main a", read)
    at, home = told["at"], f"/{SLUG}"
    work = {
        "apprentice": [
            f"{home}/modules/{at['module']}/",
            f"{home}/practice/new/?module={at['module']}",
            f"{home}/exercises/{told['paper']['token']}/answer/",
            f"{home}/progress/{at['person']}/{at['module']}/",
        ],
        "assessor": [
            f"{home}/assessment/head/{told['head']['token']}/",
            f"{home}/assessment/head/{told['head']['token']}/feedback/",
            f"{home}/assessment/results/{told['head']['submitted']}/",
        ],
        "educator": [f"{home}/exercises/{told['paper']['token']}/", f"{home}/exercises/new/"],
        "verifier": [f"{home}/assessment/decisions/{told['head']['signoff']}/"],
        "manager": [f"{home}/people/{at['person']}/"],
    }
    return found + work[role]


def test_a_first_visit_is_light(come: Callable[..., Visitor]) -> None:
    visitor = come("phone")
    scales = Scales(visitor.context.new_cdp_session(visitor.page))
    weight = open_page(visitor, scales, "/account/login/")
    print(f"\nfirst visit, /account/login/: {weight / 1000:.1f} kB")  # noqa: T201
    # The letters came too: they are the heaviest part and must not be weighed as nothing.
    assert visitor.page.evaluate("document.fonts.check('16px \"Atkinson Next\"')")
    assert 20_000 < weight <= FIRST_VISIT


def test_every_following_page_is_light(
    come: Callable[..., Visitor], told: dict[str, dict[str, str]]
) -> None:
    """Each page by whoever works on it, opened for the first time after sign-in, and again.

    The first page with figures in mono, and the first with htmx, bring those files; they are
    kept for good, so that is allowed for once.
    """
    heavy, table = [], []
    for role, device in DEVICES.items():
        visitor = come(device)
        visitor.sign_in(told["people"][role], str(told["password"]))
        scales = Scales(visitor.context.new_cdp_session(visitor.page))
        for path in pages_of(visitor, role, told):
            first, again = (open_page(visitor, scales, path) for _ in range(2))
            shown = re.sub(r"[A-Za-z0-9_-]{22}", "…", path)
            table.append(f"{role:<11} {shown:<34} {first / 1000:6.1f} kB {again / 1000:6.1f} kB")
            assert again > 1_000, "nothing was weighed"
            if again > FOLLOWING or first > FOLLOWING + KEPT_FOR_GOOD:
                heavy.append(table[-1])
        visitor.context.close()
    print("\n" + "\n".join(table))  # noqa: T201
    assert heavy == []
