"""Nothing on a page comes from, or goes to, anybody else; what the browser is told to enforce."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from django.conf import settings
from django.core.cache import cache
from django.test import Client

from tests.site.addresses import INSIDE, OUTSIDE, read_whole
from tests.site.world import World, build

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from academy.people.models import Person

POLICY = {
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self' data:",
    "font-src 'self'",
    "connect-src 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
    "base-uri 'none'",
    "object-src 'none'",
    "manifest-src 'self'",
}
ADDRESS = re.compile(r"(?:https?:)?//[a-z0-9][a-z0-9.-]*\.[a-z]{2,}", re.IGNORECASE)
LINK = re.compile(r"(?:src|href|action|srcset|content|hx-[a-z]+)=\"((?:https?:)?//[^\"]*)\"")
# Names, not addresses: nothing is ever fetched from them.
NAMES = {"http://www.w3.org"}
COMMENT = re.compile(r"{#.*?#}|/\*.*?\*/|^\s*//.*?$|<!--.*?-->", re.DOTALL | re.MULTILINE)
SHIPPED = [
    path
    for folder in ("templates", "static")
    for path in sorted((settings.ROOT / folder).rglob("*"))
    if path.suffix in {".html", ".css", ".js", ".svg", ".json", ".conf"}
    and path.name != "vendor.json"  # says where the shipped files were fetched from
]


@pytest.fixture
def world() -> World:
    cache.clear()
    return build()


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_no_shipped_file_names_another_host(path: Path) -> None:
    text = COMMENT.sub("", path.read_text(encoding="utf-8"))
    found = [match[0] for match in ADDRESS.finditer(text) if match[0] not in NAMES]
    assert found == []


def pages(world: World, signed_in: Callable[[Person], Client]) -> list[tuple[str, str, Any]]:
    """Every page once, by whoever may open it first; then the pages outside, signed out."""
    browsers = {role: signed_in(person) for role, person in world.people.items()}
    found: list[tuple[str, str, Any]] = []
    for row in INSIDE:
        if not row.post:
            address = row.address(world.academy.slug, world)
            found.append((row.name, address, browsers[next(iter(row.may))].get(address)))
    for outside in OUTSIDE:
        if not outside.post:
            address = outside.address(world)
            found.append((outside.name, address, Client().get(address)))
    missing = f"/{world.academy.slug}/no-such-page/"
    educator = signed_in(world.educator)
    found.append(("a page that is not there", missing, educator.get(missing)))
    forbidden = f"/{world.academy.slug}/people/"
    found.append(("a page for others", forbidden, educator.get(forbidden)))
    return found


def test_every_answer_carries_the_strict_policy(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    wrong = []
    for name, _, answer in pages(world, signed_in):
        told = {part.strip() for part in answer.get("Content-Security-Policy", "").split(";")}
        if told != POLICY:
            wrong.append(name)
        if answer.get("X-Frame-Options") != "DENY" or answer["X-Content-Type-Options"] != "nosniff":
            wrong.append(f"{name}: frames or types")
        if answer["Referrer-Policy"] not in {"same-origin", "no-referrer"}:
            wrong.append(f"{name}: {answer['Referrer-Policy']}")
        read_whole(answer)
    assert wrong == []


def test_no_page_links_or_asks_outside(world: World, signed_in: Callable[[Person], Client]) -> None:
    wrong = []
    for name, _, answer in pages(world, signed_in):
        if not answer.streaming and answer.get("Content-Type", "").startswith("text/html"):
            found = LINK.findall(answer.content.decode())
            wrong += [f"{name}: {link}" for link in found if "//testserver" not in link]
        read_whole(answer)
    assert wrong == []


def test_no_address_says_who_somebody_is(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    """Rows go by their tokens; no name, mail address or number of a row stands in a link."""
    words = [
        word.casefold()
        for person in [*world.people.values(), world.colleague]
        for word in [person.email, *re.split(r"[ -]", person.name)]
    ]
    wrong = []
    for name, address, answer in pages(world, signed_in):
        links = [address]
        if not answer.streaming and answer.get("Content-Type", "").startswith("text/html"):
            links += re.findall(r"(?:href|action|src)=\"([^\"]*)\"", answer.content.decode())
        read_whole(answer)
        for link in links:
            inside = link.startswith(f"/{world.academy.slug}/")
            if any(word in link.casefold() for word in words):
                wrong.append(f"{name}: {link}")
            if inside and re.search(r"/\d+/", link):
                wrong.append(f"{name}: {link} counts rows")
    assert wrong == []


def test_the_public_page_is_kept_nowhere(world: World) -> None:
    for address in ("/c/", f"/c/{world.tokens['certificate']}/", "/c/no-such-code/"):
        answer = Client().get(address)
        assert answer["Cache-Control"] == "no-store"
        assert answer["X-Robots-Tag"] == "noindex, nofollow"
        assert answer["Referrer-Policy"] == "no-referrer"
        assert not answer.cookies


def test_the_invitation_and_the_sign_in_are_kept_nowhere(world: World) -> None:
    for address in (f"/invitation/{world.tokens['secret']}/", "/account/login/"):
        assert "no-store" in Client().get(address)["Cache-Control"], address


def test_downloads_of_people_are_kept_nowhere(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browser, wrong = signed_in(world.educator), []
    for name in (
        "reports:matrix-export",
        "exercises:paper-results-csv",
        "exercises:paper-statistics-xlsx",
        "exercises:print-download",
        "practice:session-export",
        "awards:certificate-pdf",
    ):
        [row] = [row for row in INSIDE if row.name == name]
        answer = browser.get(row.address(world.academy.slug, world))
        if "no-store" not in answer.get("Cache-Control", ""):
            wrong.append(name)
        read_whole(answer)
    assert wrong == []
