"""What anyone with a certificate in hand sees, and what they never see."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
import time_machine
from django.core.cache import cache

from academy.awards.models import Certificate
from academy.awards.public import CHECKS_A_MINUTE
from academy.awards.services import withdraw_certificate
from academy.people.services import give_consent
from academy.web.days import written

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

# Looks are counted by the minute.
NOW = datetime(2026, 3, 2, 10, 30, 15, tzinfo=UTC)
Issue = Callable[[], Certificate]


@pytest.fixture(autouse=True)
def _fresh_counts() -> None:
    cache.clear()


def look(client: Client, certificate: Certificate) -> str:
    return client.get(f"/c/{certificate.token}/").content.decode()


def test_a_valid_certificate_says_until_when(client: Client, issue: Issue) -> None:
    page = look(client, issue())
    assert "Valid" in page
    assert "The test award" in page


def test_the_holder_is_masked_until_they_agree(
    client: Client, issue: Issue, apprentice: Person, academy: Academy
) -> None:
    certificate = issue()
    assert "T… O…" in look(client, certificate)
    assert apprentice.name not in look(client, certificate)
    give_consent(person=apprentice, academy=academy, purpose="name_on_check_page")
    assert apprentice.name in look(client, certificate)


@pytest.mark.parametrize(
    ("kinds", "state"),
    [
        ([], "Valid"),
        (["suspended"], "Suspended"),
        (["lapsed"], "Expired"),
        (["replaced"], "Replaced"),
        (["withdrawn"], "Withdrawn"),
    ],
)
def test_every_state_shows_its_day_holder_award_modules_issued_and_until(
    client: Client, issue: Issue, manager: Person, kinds: list[str], state: str
) -> None:
    certificate = issue()
    for kind in kinds:
        certificate.events.create(kind=kind, by=manager, reason="sixpence under the block")
    page = look(client, certificate)
    since = certificate.valid_until if state == "Valid" else certificate.issued_on
    for words in (
        f"<strong>{state}</strong>",
        f"{since:%A} {since.day} {since:%B %Y}",
        "T… O…",
        "The test award",
        "The hygiene module",
        f"Issued {written(certificate.issued_on)}",
        f"until {written(certificate.valid_until)}",
    ):
        assert words in page, words
    assert "sixpence" not in page


def test_it_never_shows_marks_feedback_or_who_assessed(
    client: Client, issue: Issue, assessor: Person, verifier: Person
) -> None:
    """The head under it is marked 4 everywhere, 100 of 100, with four boxes of feedback."""
    page = re.sub(r"<[^>]+>", " ", look(client, issue()))
    for kept in ("100", "laid out within reach", "gloves", assessor.name, verifier.name):
        assert kept not in page


def test_a_withdrawn_one_shows_day_but_no_reason_and_first_letters_alone(
    client: Client, issue: Issue, academy: Academy, apprentice: Person, manager: Person
) -> None:
    certificate = issue()
    give_consent(person=apprentice, academy=academy, purpose="name_on_check_page")
    withdraw_certificate(certificate=certificate, by=manager, reason="sixpence under the block")
    page = look(client, certificate)
    assert "Withdrawn" in page
    assert "sixpence" not in page
    assert "T… O…" in page
    assert apprentice.name not in page


def test_every_code_that_is_none_gets_the_same_words(client: Client, issue: Issue) -> None:
    token = issue().token
    wrong = ("A" if token[0] != "A" else "B") + token[1:]
    pages = [client.get(f"/c/{code}/") for code in (wrong, "x", "not-a-code-at-all-really")]
    assert [page.status_code for page in pages] == [404, 404, 404]
    assert len({page.content for page in pages}) == 1


def test_it_is_neither_kept_nor_indexed(client: Client, issue: Issue) -> None:
    response = client.get(f"/c/{issue().token}/")
    assert "no-store" in response["Cache-Control"]
    assert "noindex" in response["X-Robots-Tag"]
    assert not response.cookies


@time_machine.travel(NOW, tick=False)
def test_nobody_may_try_many_codes(client: Client) -> None:
    for _ in range(CHECKS_A_MINUTE):
        assert client.get("/c/AAAAAAAAAAAAAAAAAAAAAA/").status_code == 404
    assert client.get("/c/AAAAAAAAAAAAAAAAAAAAAA/").status_code == 429


@time_machine.travel(NOW, tick=False)
def test_behind_a_web_server_each_visitor_has_looks_of_their_own(
    client: Client, settings: Any
) -> None:
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
    visitors = [f"198.51.100.1, 192.0.2.{number}" for number in range(CHECKS_A_MINUTE + 1)]
    one_with_many_stories = [f"198.51.100.{number}, 192.0.2.1" for number in range(CHECKS_A_MINUTE)]
    said = [
        client.get("/c/none/", headers={"X-Forwarded-For": chain}).status_code
        for chain in [*visitors, *one_with_many_stories]
    ]
    assert set(said[:-1]) == {404}
    assert said[-1] == 429


@pytest.mark.parametrize(
    ("zone", "hour", "state"),
    [
        ("Pacific/Auckland", 10, "Valid"),
        ("Pacific/Auckland", 12, "Expired"),
        ("America/Los_Angeles", 6, "Valid"),
    ],
)
def test_it_lapses_when_the_day_ends_where_it_was_issued(
    client: Client, issue: Issue, academy: Academy, zone: str, hour: int, state: str
) -> None:
    """Its last day ends at 11 or 12 UTC in Auckland, and in Los Angeles 7 or 8 hours after UTC."""
    certificate = issue()
    type(academy).objects.filter(pk=academy.pk).update(time_zone=zone)
    day = certificate.valid_until + timedelta(days=zone.startswith("America"))
    with time_machine.travel(datetime(day.year, day.month, day.day, hour, 5, tzinfo=UTC)):
        assert f"<strong>{state}</strong>" in look(client, certificate)


@pytest.mark.parametrize("typed", ["{token}", " {token} ", "https://example.test/c/{token}/"])
def test_a_typed_code_leads_to_its_page(client: Client, issue: Issue, typed: str) -> None:
    token = issue().token
    response = client.get("/c/", {"code": typed.format(token=token)})
    assert response.headers["Location"] == f"/c/{token}/"
