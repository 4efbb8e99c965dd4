"""The judge of the browser tests sees what it is there to see."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.browser.visitor import visit

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from tests.browser.served import Site

BAD = """<!doctype html><html><head><title>Bad</title></head><body><main><h1>Bad</h1>
<div style="width: 2000px">wide</div><img src="http://other.invalid/eye.png">
<script>console.error("broken")</script></main></body></html>"""


def test_a_bad_page_is_seen_as_bad(chromium: Browser, site: Site) -> None:
    visitor = visit(chromium, site.home, "phone")
    visitor.page.set_content(BAD)
    visitor.look()
    visitor.context.close()
    told = "\n".join(visitor.trouble)
    assert "can be pushed sideways" in told
    assert "html-has-lang" in told
    assert "image-alt" in told
    assert "asked http://other.invalid/eye.png" in told
    assert "the console says: broken" in told


def test_a_blocked_style_of_a_page_is_seen(chromium: Browser, site: Site) -> None:
    visitor = visit(chromium, site.home, "desktop")
    visitor.go("/account/login/")
    assert visitor.trouble == []
    visitor.page.evaluate("document.body.setAttribute('style', 'color: red')")
    visitor.page.wait_for_timeout(200)
    visitor.context.close()
    assert "Content Security Policy" in "\n".join(visitor.trouble)
