"""Opening a page changes nothing, whatever link led there."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from django.apps import apps
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from academy.audit.models import Entry
from academy.people.models import Person
from tests.site.addresses import INSIDE, OUTSIDE, read_whole
from tests.site.world import World, build

WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE|CREATE|DROP|ALTER)\b", re.IGNORECASE)
# Django keeps here what a browser was told already; nothing of an academy.
BOOKKEEPING = '"django_session"'


@pytest.fixture
def world() -> World:
    cache.clear()
    return build()


def counts() -> dict[str, int]:
    """How many rows each table holds."""
    return {
        model._meta.label: model._base_manager.count()
        for model in apps.get_models(include_auto_created=True)
        if model._meta.label != "sessions.Session"
    }


def last_entry() -> bytes:
    """The end of the record's chains."""
    return b"".join(bytes(entry.hash) for entry in Entry.objects.order_by("pk"))


def writes(browser: Client, address: str) -> list[str]:
    """The statements that change a row while a page is opened."""
    with CaptureQueriesContext(
        connection,
    ) as caught:
        answer = browser.get(address)
        read_whole(answer)
    statements = [query["sql"] for query in caught.captured_queries]
    return [sql for sql in statements if WRITES.match(sql) and BOOKKEEPING not in sql]


def test_no_page_writes_for_anybody_who_may_open_it(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browsers = {role: signed_in(person) for role, person in world.people.items()}
    before, chain = counts(), last_entry()
    wrong = [
        f"{row.name} for the {role}: {sql[:120]}"
        for row in INSIDE
        for role in row.may
        for sql in writes(browsers[role], row.address(world.academy.slug, world))
    ]
    assert wrong == []
    assert counts() == before
    assert last_entry() == chain


def test_no_page_outside_the_academies_writes(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browsers = [Client(), signed_in(world.educator)]
    before, chain = counts(), last_entry()
    wrong = [
        f"{row.name}: {sql[:120]}"
        for row in OUTSIDE
        if not row.post
        for browser in browsers
        for sql in writes(browser, row.address(world))
    ]
    assert wrong == []
    assert counts() == before
    assert last_entry() == chain


def test_what_changes_something_does_nothing_on_a_get(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browsers = {role: signed_in(person) for role, person in world.people.items()}
    deeds = [
        (row.name, browsers[role], row.address(world.academy.slug, world), row.on_get)
        for row in INSIDE
        if row.post
        for role in row.may
    ]
    deeds += [
        (row.name, browsers[next(iter(browsers))], row.address(world), 405)
        for row in OUTSIDE
        if row.post
    ]
    assert len(deeds) > 20
    wrong = []
    for name, browser, address, expected in deeds:
        for ask in (browser.get, browser.head):
            found = ask(address).status_code
            if found != expected:
                wrong.append(f"{name}: {found}")
    assert wrong == []


def test_the_counter_notices_a_write(world: World) -> None:
    with CaptureQueriesContext(connection) as caught:
        Person.objects.filter(pk=world.educator.pk).update(is_active=True)
    assert [sql for query in caught.captured_queries if WRITES.match(sql := query["sql"])]
