from __future__ import annotations

import re
from io import StringIO

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import get_resolver

from academy.audit.models import Entry
from academy.people import rules, services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Invitation, Role

GOOD = {
    "slug": "quayside",
    "name": "Quayside School of Colour",
    "manager_email": "Iris.Vance@Example.test",
    "manager_name": "Iris Vance",
}


def test_an_academy_begins_with_its_managers_invitation_and_one_entry() -> None:
    invitation = services.set_up_academy(**GOOD)
    assert invitation.academy.slug == "quayside"
    assert (invitation.email, invitation.role) == ("iris.vance@example.test", Role.MANAGER)
    entry = Entry.objects.get()
    assert (entry.action, entry.actor_id) == ("people.academy.set_up", None)
    assert entry.academy_id == invitation.academy_id


@pytest.mark.parametrize(
    ("field", "wrong"),
    [
        *[("slug", slug) for slug in sorted(rules.RESERVED_SLUGS)],
        ("slug", "Quay Side"),
        ("slug", "quay--side"),
        ("slug", "-quay"),
        ("slug", "q" * 41),
        ("slug", ""),
        ("name", "  "),
        ("name", "Quay\nside"),
        ("manager_email", "iris"),
        ("manager_email", ""),
        ("manager_name", ""),
        ("manager_name", "I" * 121),
        ("time_zone", "Europe/Atlantis"),
    ],
)
def test_a_bad_argument_is_refused_and_nothing_is_kept(field: str, wrong: str) -> None:
    with pytest.raises(PeopleError) as refused:
        services.set_up_academy(**{**GOOD, field: wrong})
    assert refused.value.field == field
    assert not Academy.objects.exists()
    assert not Entry.objects.exists()
    assert not mail.outbox


def test_a_slug_is_taken_once() -> None:
    services.set_up_academy(**GOOD)
    with pytest.raises(PeopleError, match="already"):
        services.set_up_academy(**GOOD)
    assert Academy.objects.count() == Invitation.objects.count() == 1


def test_every_first_word_of_the_sites_addresses_is_reserved() -> None:
    patterns = get_resolver().url_patterns
    firsts = {re.match(r"[a-z]*", str(pattern.pattern)).group() for pattern in patterns}  # type: ignore[union-attr]
    assert firsts - {""} <= rules.RESERVED_SLUGS
    assert {"account", "c", "static", "parts", "demo"} <= rules.RESERVED_SLUGS


def command(**changed: str) -> str:
    words = {**GOOD, **changed}
    out = StringIO()
    arguments = [f"--{key.replace('_', '-')}={value}" for key, value in words.items()]
    call_command("set_up_academy", *arguments, stdout=out)
    return out.getvalue()


def test_the_command_prints_the_link_that_the_mail_carries() -> None:
    printed = command()
    link = f"http://testserver/invitation/{Invitation.objects.get().secret}/"
    assert link in printed
    assert link in mail.outbox[0].body


def test_the_command_says_what_is_wrong_in_one_sentence() -> None:
    with pytest.raises(CommandError, match=r"--slug: .*address of the site itself") as error:
        command(slug="demo")
    assert error.value.returncode == 1


def test_the_command_says_what_is_missing_in_one_sentence() -> None:
    with pytest.raises(CommandError, match="--manager-name: There is no name") as error:
        command(manager_name="")
    assert error.value.returncode == 1
    with pytest.raises(CommandError, match="--slug: The address takes"):
        call_command("set_up_academy")
