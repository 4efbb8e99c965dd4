"""Every address × everybody: signed out, five roles, a colleague, and the other academy."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client

from academy.people.models import Person, Role
from tests.site.addresses import AP, INSIDE, OUTSIDE, Row, every_name, read_whole
from tests.site.world import World, build, staff


@pytest.fixture
def world() -> World:
    cache.clear()
    return build()


def ask(browser: Client, row: Row, address: str) -> int:
    """What the address answers, 500 included; whatever a post does is taken back."""
    browser.raise_request_exception = False
    with transaction.atomic():
        answer = browser.post(address) if row.post else browser.get(address)
        read_whole(answer)
        transaction.set_rollback(True)
    return answer.status_code


def test_every_address_has_one_row_and_every_row_an_address() -> None:
    listed = sorted([row.name for row in INSIDE] + [row.name for row in OUTSIDE])
    assert listed == every_name()


def test_each_role_opens_what_is_theirs(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    wrong = []
    for role, person in world.people.items():
        browser = signed_in(person)
        for row in INSIDE:
            expected = row.may.get(role, 403)
            found = ask(browser, row, row.address(world.academy.slug, world))
            if found != expected:
                wrong.append(f"{row.name} for the {role}: {found}, not {expected}")
    assert wrong == []


def test_whoever_is_signed_out_is_sent_to_the_sign_in(world: World) -> None:
    browser, wrong = Client(), []
    for row in INSIDE:
        address = row.address(world.academy.slug, world)
        answer = browser.post(address) if row.post else browser.get(address)
        if not answer.headers.get("Location", "").startswith("/account/login/?next="):
            wrong.append(f"{row.name}: {answer.status_code}")
    assert wrong == []


def test_an_apprentice_finds_nothing_of_another_apprentice(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    browser, wrong = signed_in(world.colleague), []
    for row in INSIDE:
        found = ask(browser, row, row.address(world.academy.slug, world))
        expected = 404 if row.own else row.may.get(AP, 403)
        if row.name == "exercises:paper-answer":
            expected = 404  # the paper was set for a cohort this one is not in
        if found != expected:
            wrong.append(f"{row.name}: {found}, not {expected}")
    assert wrong == []


def test_nobody_of_another_academy_gets_in(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    """Neither at this academy's addresses nor with its rows' tokens at their own."""
    other, wrong = staff("elsewhere", "Elsewhere Academy"), []
    for role, person in other.people.items():
        browser = signed_in(person)
        for row in INSIDE:
            found = ask(browser, row, row.address(world.academy.slug, world))
            if found != HTTPStatus.NOT_FOUND:
                wrong.append(f"{row.name} for the other {role}: {found}")
            if row.names_a_row:
                found = ask(browser, row, row.address("elsewhere", world))
                # A role that may never open it is refused before the row is looked for.
                expected = 404 if role in row.may else 403
                if row.name == "practice:session-confirm" and role == Role.ASSESSOR:
                    expected = 404
                if found != expected:
                    wrong.append(f"{row.name} at home of the other {role}: {found}")
    assert wrong == []


def test_pages_outside_the_academies_answer_as_listed(
    world: World, signed_in: Callable[[Person], Client]
) -> None:
    wrong = []
    for row in OUTSIDE:
        for browser, expected in (
            (Client(), row.signed_out),
            (signed_in(world.educator), row.signed_in),
        ):
            address = row.address(world)
            with transaction.atomic():
                answer = browser.post(address) if row.post else browser.get(address)
                transaction.set_rollback(True)
            if answer.status_code != expected:
                wrong.append(f"{row.name}: {answer.status_code}, not {expected}")
    assert wrong == []


def test_every_address_has_a_name_of_its_own() -> None:
    assert len(every_name()) == len(set(every_name()))
