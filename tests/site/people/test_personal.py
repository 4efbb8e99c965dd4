from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from academy.audit.models import Entry
from academy.people import services, wordings
from academy.people.errors import PeopleError
from academy.people.models import Academy, Consent, Guardian, Person

if TYPE_CHECKING:
    from django.test import Client

NAME = Consent.Purpose.NAME_ON_CHECK_PAGE
NOTICE = Consent.Purpose.PRIVACY_NOTICE


def test_a_consent_is_one_row_and_one_entry_however_often_it_is_given(
    academy: Academy, apprentice: Person, one_entry: Any
) -> None:
    with one_entry("people.consent.given"):
        for _ in range(2):
            services.give_consent(person=apprentice, academy=academy, purpose=NAME)
    assert apprentice.consents.get().wording_version == wordings.current_wording(NAME)


def test_a_consent_is_withdrawn_and_given_anew(
    academy: Academy, apprentice: Person, one_entry: Any
) -> None:
    services.give_consent(person=apprentice, academy=academy, purpose=NAME)
    with one_entry("people.consent.withdrawn"):
        services.withdraw_consent(person=apprentice, academy=academy, purpose=NAME)
    assert not apprentice.consents.standing().exists()
    with pytest.raises(PeopleError, match="nothing to take back"):
        services.withdraw_consent(person=apprentice, academy=academy, purpose=NAME)
    services.give_consent(person=apprentice, academy=academy, purpose=NAME)
    assert (apprentice.consents.count(), apprentice.consents.standing().count()) == (2, 1)


def test_a_new_wording_is_agreed_to_again(
    academy: Academy, apprentice: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    services.give_consent(person=apprentice, academy=academy, purpose=NAME)
    monkeypatch.setitem(wordings.TEXTS, NAME, {1: "Old.", 2: "New."})
    services.give_consent(person=apprentice, academy=academy, purpose=NAME)
    assert apprentice.consents.standing().get().wording_version == 2


def test_the_notice_stays_read_and_unknown_purposes_are_refused(
    academy: Academy, apprentice: Person
) -> None:
    services.give_consent(person=apprentice, academy=academy, purpose=NOTICE)
    with pytest.raises(PeopleError, match="stays read"):
        services.withdraw_consent(person=apprentice, academy=academy, purpose=NOTICE)
    for deed in (services.give_consent, services.withdraw_consent):
        with pytest.raises(PeopleError, match="nothing of that kind"):
            deed(person=apprentice, academy=academy, purpose="everything")


def test_a_guardians_contact_is_kept_changed_and_removed(
    academy: Academy, manager: Person, apprentice: Person, one_entry: Any
) -> None:
    with one_entry("people.guardian.kept"):
        services.set_guardian(
            person=apprentice, academy=academy, by=manager, name="Liv Orle", contact="07700 900123"
        )
    services.set_guardian(
        person=apprentice, academy=academy, by=manager, name="Jon Orle", contact="07700 900124"
    )
    assert Guardian.objects.get().name == "Jon Orle"
    with one_entry("people.guardian.removed"):
        services.remove_guardian(person=apprentice, academy=academy, by=manager)
    assert not Guardian.objects.exists()
    with pytest.raises(PeopleError, match="No guardian's contact"):
        services.remove_guardian(person=apprentice, academy=academy, by=manager)


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"name": "", "contact": "07700 900123"}, "name"),
        ({"name": "Liv Orle", "contact": " "}, "contact"),
        ({"name": "Liv Orle", "contact": "0" * 121}, "contact"),
    ],
)
def test_a_bad_contact_is_refused(
    academy: Academy, manager: Person, apprentice: Person, words: dict[str, str], field: str
) -> None:
    with pytest.raises(PeopleError) as refused:
        services.set_guardian(person=apprentice, academy=academy, by=manager, **words)
    assert refused.value.field == field
    assert not Guardian.objects.exists()


def test_only_managers_keep_contacts_and_only_of_apprentices(
    academy: Academy, manager: Person, educator: Person, apprentice: Person
) -> None:
    words = {"name": "Liv Orle", "contact": "07700 900123"}
    with pytest.raises(PeopleError, match="Only a manager"):
        services.set_guardian(person=apprentice, academy=academy, by=educator, **words)
    with pytest.raises(PeopleError, match="no apprentice"):
        services.set_guardian(person=educator, academy=academy, by=manager, **words)
    with pytest.raises(PeopleError, match="Only a manager"):
        services.remove_guardian(person=apprentice, academy=academy, by=educator)


def test_no_name_and_no_contact_stands_in_the_record(
    academy: Academy, manager: Person, apprentice: Person
) -> None:
    services.set_guardian(
        person=apprentice, academy=academy, by=manager, name="Liv Orle", contact="07700 900123"
    )
    written = bytes(Entry.objects.get().canonical)
    assert b"Liv" not in written
    assert b"900123" not in written


def test_people_change_their_own_name_with_one_entry(
    academy: Academy, apprentice: Person, one_entry: Any
) -> None:
    with one_entry("people.person.name_changed"):
        services.change_name(person=apprentice, academy=academy, name=" Tamsin  Orle-Hart ")
    apprentice.refresh_from_db()
    assert apprentice.name == "Tamsin Orle-Hart"
    with pytest.raises(PeopleError, match="no name"):
        services.change_name(person=apprentice, academy=academy, name="")


def test_the_account_page_shows_the_wording_and_keeps_what_was_decided(
    academy: Academy, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(apprentice)
    decide = reverse("people:consent-decide", args=[academy.slug])
    page = browser.get(reverse("people:me", args=[academy.slug])).content.decode()
    assert wordings.wording_text(NAME) in page
    give = {"purpose": NAME, "decision": "give"}
    assert "You agree" in browser.post(decide, give, follow=True).content.decode()
    stop = {"purpose": NAME, "decision": "withdraw"}
    assert "no longer agree" in browser.post(decide, stop, follow=True).content.decode()
    unknown = browser.post(decide, {"purpose": "x", "decision": "give"}, follow=True)
    assert "nothing of that kind" in unknown.content.decode()


def test_the_account_page_saves_the_name_or_says_why_not(
    academy: Academy, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(apprentice)
    url = reverse("people:me", args=[academy.slug])
    bad = browser.post(url, {"name": "T" * 121}).content.decode()
    assert "Too long" in bad
    assert "T" * 121 in bad
    assert "Saved" in browser.post(url, {"name": "Tam Orle"}, follow=True).content.decode()


def test_the_guardians_page_keeps_and_removes(
    academy: Academy, manager: Person, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    edit = reverse("people:guardian-edit", args=[academy.slug, apprentice.token])
    half = browser.post(edit, {"name": "Liv Orle"}).content.decode()
    assert 'value="Liv Orle"' in half
    kept = browser.post(edit, {"name": "Liv Orle", "contact": "07700 900123"}, follow=True)
    assert "Under 18" in kept.content.decode()
    remove = reverse("people:guardian-remove", args=[academy.slug, apprentice.token])
    assert "erased" in browser.post(remove, follow=True).content.decode()
    assert "No guardian" in browser.post(remove, follow=True).content.decode()
