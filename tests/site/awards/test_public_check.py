"""What anyone with a certificate in hand sees, and what they never see."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
import time_machine
from django.core.cache import cache

from academy.awards.models import Certificate
from academy.awards.public import CHECKS_A_MINUTE
from academy.awards.services import withdraw_certificate
from academy.people.services import give_consent

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


def test_a_withdrawn_one_shows_day_but_neither_reason_nor_name(
    client: Client, issue: Issue, manager: Person
) -> None:
    certificate = issue()
    withdraw_certificate(certificate=certificate, by=manager, reason="sixpence under the block")
    page = look(client, certificate)
    assert "Withdrawn" in page
    assert "sixpence" not in page
    assert "T… O…" not in page


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


@pytest.mark.parametrize("typed", ["{token}", " {token} ", "https://example.test/c/{token}/"])
def test_a_typed_code_leads_to_its_page(client: Client, issue: Issue, typed: str) -> None:
    token = issue().token
    response = client.get("/c/", {"code": typed.format(token=token)})
    assert response.headers["Location"] == f"/c/{token}/"
