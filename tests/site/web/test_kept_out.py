"""On a shared tablet the back button shows nobody's pages after signing out."""

from __future__ import annotations

from collections.abc import Callable

from django.test import Client

from academy.people.models import Person

SignedIn = Callable[[Person], Client]


def test_a_page_behind_the_sign_in_is_not_kept(signed_in: SignedIn, apprentice: Person) -> None:
    assert signed_in(apprentice).get("/larkmere/")["Cache-Control"] == "private, no-store"


def test_a_page_for_anyone_keeps_its_own_policy(client: Client) -> None:
    assert "private, no-store" not in client.get("/account/login/").headers.get("Cache-Control", "")
