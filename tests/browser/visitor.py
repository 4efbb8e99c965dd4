"""Somebody with a device in front of the site, who notices what is wrong on a page."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, Response

AXE = Path(__file__).with_name("vendor") / "axe.min.js"
SIZES = {
    "phone": (390, 844),
    "tablet": (820, 1180),
    "desktop": (1280, 800),
}
TOUCHED = {"phone", "tablet"}
FIND = """async () => (await axe.run(document, {
  resultTypes: ["violations"], preload: false
})).violations.map(
  (one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" … ")}`
)"""
# What sticks out on the right, so that the page can be pushed sideways.
SIDEWAYS = """() => {
  const root = document.documentElement;
  if (root.scrollWidth <= root.clientWidth) return "";
  const wide = [...document.querySelectorAll("body *")].filter(
    (one) => one.getBoundingClientRect().right > root.clientWidth + 1
  );
  const names = wide.slice(0, 3).map((one) => `${one.tagName}.${one.className}`);
  return `${root.scrollWidth} > ${root.clientWidth}: ${names.join(", ")}`;
}"""


@dataclass
class Visitor:
    """One person's browser. `trouble` holds everything that went wrong, page by page."""

    home: str
    device: str
    context: BrowserContext
    page: Page
    trouble: list[str] = field(default_factory=list)
    looked_at: list[str] = field(default_factory=list)
    judging: bool = False

    def go(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else f"{self.home}{path}")

    def sign_in(self, email: str, password: str) -> None:
        self.go("/account/login/")
        self.page.get_by_label("E-mail address").fill(email)
        self.page.get_by_label("Password").fill(password)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        self.page.wait_for_url(lambda url: "/account/login/" not in url)

    def press(self, name: str, *, exact: bool = False) -> None:
        self.page.get_by_role("button", name=name, exact=exact).first.click()
        self.page.wait_for_load_state()

    def follow(self, name: str, *, exact: bool = False) -> None:
        self.page.get_by_role("link", name=name, exact=exact).first.click()
        self.page.wait_for_load_state()

    def reads(self, words: str) -> None:
        """The words stand on the page, or come within a few seconds."""
        self.page.get_by_text(words).filter(visible=True).first.wait_for(timeout=20_000)

    @property
    def heading(self) -> str:
        return self.page.get_by_role("heading", level=1).inner_text()

    def look(self) -> None:
        """Judge the page as it is, at all three sizes, beginning with the person's own."""
        here = self.page.url.removeprefix(self.home)
        self.looked_at.append(here)
        own = SIZES[self.device]
        for size in (own, *(one for one in SIZES.values() if one != own)):
            self.page.set_viewport_size({"width": size[0], "height": size[1]})
            if sideways := self.page.evaluate(SIDEWAYS):
                self.trouble.append(f"{here} at {size[0]} px can be pushed sideways: {sideways}")
            self._axe(f"{here} at {size[0]} px")
        self.page.set_viewport_size({"width": own[0], "height": own[1]})

    def _axe(self, where: str) -> None:
        if not self.page.evaluate("() => 'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        self.judging = True
        found: list[Any] = self.page.evaluate(FIND)
        self.judging = False
        self.trouble += [f"{where}: {one}" for one in found]

    # What the browser says by itself.

    def _said(self, message: ConsoleMessage) -> None:
        # The judge tries styles of its own, which the page's policy blocks.
        if message.type in {"error", "warning"} and not self.judging:
            self.trouble.append(f"{self.page.url}: the console says: {message.text[:300]}")

    def _asked(self, request: Request) -> None:
        if not request.url.startswith((f"{self.home}/", "data:", "blob:", "about:")):
            self.trouble.append(f"{self.page.url}: asked {request.url}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400:
            self.trouble.append(f"{response.status} from {response.url}")


def visit(
    browser: Browser,
    home: str,
    device: str,
    *,
    script: bool = True,
    motion: Literal["no-preference", "reduce"] = "no-preference",
    record: Path | None = None,
) -> Visitor:
    """A new browser for one person: no cookies, an empty cache, the clock of London.

    All that it is sent is written to `record` once its context is closed.
    """
    width, height = SIZES[device]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        has_touch=device in TOUCHED,
        java_script_enabled=script,
        reduced_motion=motion,
        locale="en-GB",
        timezone_id="Europe/London",
        record_har_path=record,
        record_har_content="embed",
    )
    context.set_default_timeout(20_000)
    page = context.new_page()
    visitor = Visitor(home, device, context, page)
    page.on("console", visitor._said)
    page.on("pageerror", lambda error: visitor.trouble.append(f"{page.url}: {error}"))
    page.on("request", visitor._asked)
    page.on("response", visitor._answered)
    return visitor
