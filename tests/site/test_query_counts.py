"""Every page asks the database as often for forty rows as for one.

All pages are counted, not only lists: a new page is counted as soon as it stands in the table
of addresses.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from academy.web import tasks
from tests.site.addresses import INSIDE, read_whole
from tests.site.crowd import grow
from tests.site.world import World, build

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person, Role

MANY = 39


@pytest.fixture
def world() -> World:
    cache.clear()
    return build()


def counts(world: World, browsers: dict[Role, Client]) -> dict[str, int]:
    """The number of queries of each page, for each role that may open it."""
    return {
        f"{row.name} for the {role}": _queries(
            browsers[role], row.address(world.academy.slug, world)
        )
        for row in INSIDE
        if not row.post
        for role in row.may
    }


def _queries(browser: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        answer = browser.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    read_whole(answer)
    return len(caught)


def test_no_page_asks_more_often_when_there_is_more_to_show(
    world: World,
    signed_in: Callable[[Person], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    browsers = {role: signed_in(person) for role, person in world.people.items()}
    few = counts(world, browsers)
    # What the worker would print is of no interest here.
    monkeypatch.setattr(tasks, "_deliver", lambda *_, **__: None)
    grow(world, MANY)
    many = counts(world, browsers)
    more = {page: f"{few[page]}, then {many[page]}" for page in few if many[page] > few[page]}
    assert more == {}


def test_no_page_asks_more_than_sixty_times(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browsers = {role: signed_in(person) for role, person in world.people.items()}
    assert {page: n for page, n in counts(world, browsers).items() if n > 60} == {}
