"""Pages that belong to no app: sign-in, errors, the pattern sheet, light and dark."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from django.core.cache import cache
from django.template.loader import render_to_string
from django.urls import reverse

if TYPE_CHECKING:
    from django.core.mail import EmailMessage
    from django.test import Client

    from academy.people.models import Person

SIGNED_OUT = ["account_login", "account_reset_password", "account_reset_password_done"]
SIGNED_IN = [
    "account_change_password",
    "account_email",
    "account_logout",
    "account_reauthenticate",
    "mfa_index",
]
# allauth asks for the password again before these.
NEEDS_PASSWORD = ["mfa_activate_totp", "mfa_add_webauthn"]
PASSWORD = "three-unrelated-words"


@pytest.fixture(autouse=True)
def _no_rate_limit() -> None:
    cache.clear()


@pytest.fixture
def signed_in(client: Client, educator: Person) -> Client:
    educator.set_password(PASSWORD)
    educator.save()
    client.force_login(educator)
    return client


def in_our_look(html: str) -> bool:
    return "css/blockwork.css" in html and 'id="m-ready"' in html and " style=" not in html


@pytest.mark.parametrize("name", SIGNED_OUT)
def test_pages_before_sign_in_are_in_our_look(client: Client, name: str) -> None:
    response = client.get(reverse(name))
    assert response.status_code == 200
    assert in_our_look(response.content.decode())


@pytest.mark.parametrize("name", SIGNED_IN)
def test_pages_of_an_account_are_in_our_look(signed_in: Client, name: str) -> None:
    response = signed_in.get(reverse(name))
    assert response.status_code == 200
    assert in_our_look(response.content.decode())


@pytest.mark.parametrize("name", NEEDS_PASSWORD)
def test_pages_behind_the_password_are_in_our_look(signed_in: Client, name: str) -> None:
    asked = signed_in.get(reverse(name), follow=True)
    assert "Is it you?" in asked.content.decode()
    page = signed_in.post(asked.request["PATH_INFO"], {"password": PASSWORD, "next": reverse(name)})
    html = signed_in.get(page.headers["Location"]).content.decode()
    assert in_our_look(html)


def test_a_wrong_password_keeps_the_address_and_says_what_is_wrong(client: Client) -> None:
    typed = {"login": "maren@larkmere.example", "password": "wrong"}
    html = client.post(reverse("account_login"), typed).content.decode()
    assert 'value="maren@larkmere.example"' in html
    assert 'role="alert"' in html
    assert 'value="wrong"' not in html


def test_sign_in_has_labels_and_no_placeholders(client: Client) -> None:
    html = client.get(reverse("account_login")).content.decode()
    assert ">E-mail address<" in re.sub(r"\s+", "", html).replace("E-mailaddress", "E-mail address")
    assert "placeholder" not in html


def test_passkey_sign_in_runs_from_static_files_and_data_only(client: Client) -> None:
    html = client.get(reverse("account_login")).content.decode()
    scripts = re.findall(r"<script([^>]*)>(.*?)</script>", html, re.DOTALL)
    assert any("mfa/js/webauthn.js" in attrs for attrs, _ in scripts)
    for attrs, body in scripts:
        assert "src=" in attrs or 'type="application/json"' in attrs
        assert not (body.strip() and "src=" in attrs)


def test_the_demo_people_are_listed_only_when_they_are_given() -> None:
    people = [("Tamsin Orle", "Apprentice · her own marks", "tok")]
    context = {"demo_people": [dict(zip(("name", "line", "token"), people[0], strict=True))]}
    html = render_to_string("account/demo_people.html", {**context, "demo_url": "/demo/"})
    assert '<button type="submit" name="person" value="tok">' in html
    assert "Tamsin Orle" in html


@pytest.mark.parametrize("code", ["400", "403", "403_csrf", "404", "429", "500"])
def test_an_error_page_needs_no_context_and_says_what_to_do(code: str) -> None:
    html = render_to_string(f"{code}.html")
    assert in_our_look(html)
    assert len(re.findall(r"<h1>", html)) == 1
    assert "To my first page" in html


def test_an_address_that_is_nowhere_gives_the_plain_page(client: Client) -> None:
    response = client.get("/nowhere/at/all/")
    assert response.status_code in {302, 404}


def test_the_pattern_sheet_is_for_ourselves(client: Client, settings: object) -> None:
    settings.BLOCKWORK_PARTS = False  # type: ignore[attr-defined]
    assert client.get("/parts/").status_code == 404
    settings.BLOCKWORK_PARTS = True  # type: ignore[attr-defined]
    html = client.get("/parts/").content.decode()
    assert in_our_look(html)
    assert 'data-bs-theme="dark"' in client.get("/parts/?dark").content.decode()


def test_the_dark_page_is_kept_for_this_device(client: Client) -> None:
    back = reverse("account_login")
    response = client.post(reverse("appearance"), {"theme": "dark", "next": back})
    assert response.headers["Location"] == back
    assert 'data-bs-theme="dark"' in client.get(back).content.decode()


def test_the_choice_leads_to_no_other_site_and_takes_no_other_word(client: Client) -> None:
    typed = {"theme": "<dark>", "next": "https://elsewhere.example/"}
    response = client.post(reverse("appearance"), typed)
    assert response.headers["Location"] == "/"
    assert "theme" not in response.cookies


def test_looking_does_not_change_the_choice(client: Client) -> None:
    assert client.get(reverse("appearance")).status_code == 405


def test_the_mail_for_a_new_password_says_what_to_do(
    client: Client, educator: Person, mailoutbox: list[EmailMessage]
) -> None:
    client.post(reverse("account_reset_password"), {"email": educator.email})
    assert mailoutbox[0].subject == "Choose a new password"
    assert "http" in mailoutbox[0].body
    assert "example.com" not in mailoutbox[0].body


def test_an_unknown_address_gets_the_same_page_and_is_told_by_mail(
    client: Client, mailoutbox: list[EmailMessage]
) -> None:
    typed = {"email": "nobody@elsewhere.example"}
    response = client.post(reverse("account_reset_password"), typed)
    assert response.headers["Location"] == reverse("account_reset_password_done")
    assert "No account here uses it" in mailoutbox[0].body


def test_an_old_link_for_a_new_password_says_so(client: Client) -> None:
    address = reverse("account_reset_password_from_key", kwargs={"uidb36": "1", "key": "old-key"})
    html = client.get(address, follow=True).content.decode()
    assert "This link is used up" in html
