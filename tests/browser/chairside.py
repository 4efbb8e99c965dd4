"""What an assessor does with a head and its feedback, by touch."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

BOXES = "Object.keys(localStorage).filter((name) => name.startsWith('blockwork-touches'))"


def level(page: Page, place: str, value: int) -> None:
    """Give a level in a place: `A2-crown`, or `A1-` for the whole head."""
    # Longer than a double tap takes, which counts once.
    page.wait_for_timeout(320)
    page.locator(f"#crit-{place} .levels label").nth(value).tap()


def rate(page: Page, rating: int) -> None:
    page.wait_for_timeout(320)
    page.locator("#overall label").nth(rating - 1).tap()


def missing(page: Page) -> str:
    return page.locator("#missing").inner_text().replace("\n", " ").strip()


def all_up(page: Page) -> None:
    """Nothing waits on this device any more, and the page says nothing of it."""
    for _ in range(50):
        if not page.evaluate(BOXES):
            break
        page.wait_for_timeout(100)
    assert page.evaluate(BOXES) == []
    expect(page.locator("#touches")).to_be_hidden()


def in_a_fortnight() -> str:
    return str(datetime.now(ZoneInfo("Europe/London")).date() + timedelta(days=14))


def write_boxes(
    page: Page,
    *,
    zone: str,
    criterion: str,
    level: int,
    seen: str = "Two gaps beside each other.",
    why: str = "The comb was lifted too early.",
    after: str = "Lay panels with the comb held down",
) -> None:
    """Fill the four boxes of feedback."""
    page.get_by_label("Where").select_option(zone)
    page.get_by_label("What was seen").fill(seen)
    page.get_by_label("Criterion").select_option(criterion)
    page.get_by_label("Level").select_option(str(level))
    page.get_by_label("What the hands did").fill(why)
    page.get_by_label("What to do next").fill(after)
    page.get_by_label("How many").fill("4")
    page.get_by_label("By which day").fill(in_a_fortnight())
