from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, CohortPlace, Membership, Person, Role
from tests.site.factories import PersonFactory

if TYPE_CHECKING:
    from django.test import Client


def role_of(person: Person) -> Membership:
    return Membership.objects.get(person=person)


def test_a_role_is_given_with_one_entry_and_not_twice(
    academy: Academy, manager: Person, educator: Person, one_entry: Any
) -> None:
    with one_entry("people.membership.given"):
        services.give_role(person=educator, academy=academy, role="assessor", by=manager)
    with pytest.raises(PeopleError, match="an assessor here already"):
        services.give_role(person=educator, academy=academy, role="assessor", by=manager)
    assert educator.memberships.count() == 2


def test_strangers_are_invited_and_only_managers_give_known_roles(
    academy: Academy, manager: Person, educator: Person
) -> None:
    with pytest.raises(PeopleError, match="Send an invitation"):
        services.give_role(person=PersonFactory(), academy=academy, role="assessor", by=manager)
    with pytest.raises(PeopleError, match="Only a manager"):
        services.give_role(person=educator, academy=academy, role="manager", by=educator)
    with pytest.raises(PeopleError, match="no role “king”"):
        services.give_role(person=educator, academy=academy, role="king", by=manager)


def test_a_role_ends_after_its_last_day_with_one_entry(
    academy: Academy, manager: Person, assessor: Person, one_entry: Any
) -> None:
    today = timezone.localdate()
    with one_entry("people.membership.ended"):
        services.end_membership(membership=role_of(assessor), by=manager, last_day=today)
    current = Membership.objects.filter(person=assessor)
    assert current.current(today).exists()
    assert not current.current(today + timedelta(days=1)).exists()


def test_an_apprentices_place_ends_with_the_role(
    manager: Person, apprentice: Person, plover: Cohort
) -> None:
    today = timezone.localdate()
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager)
    services.end_membership(membership=role_of(apprentice), by=manager, last_day=today)
    assert CohortPlace.objects.get().until == today


def test_the_last_manager_stays(
    academy: Academy, manager: Person, educator: Person, make_member: Callable[..., Person]
) -> None:
    today = timezone.localdate()
    with pytest.raises(PeopleError, match="last manager"):
        services.end_membership(membership=role_of(manager), by=manager, last_day=today)
    second = make_member(Role.MANAGER)
    services.end_membership(membership=role_of(manager), by=manager, last_day=today)
    with pytest.raises(PeopleError, match="last manager"):
        services.end_membership(membership=role_of(second), by=second, last_day=today)


def test_the_last_day_is_not_before_the_first_and_an_ended_role_stays_ended(
    manager: Person, assessor: Person
) -> None:
    membership, today = role_of(assessor), timezone.localdate()
    with pytest.raises(PeopleError, match="Choose that day or a later one") as refused:
        services.end_membership(
            membership=membership, by=manager, last_day=today - timedelta(days=1)
        )
    assert refused.value.field == "last_day"
    Membership.objects.filter(pk=membership.pk).update(
        since=today - timedelta(days=9), until=today - timedelta(days=1)
    )
    with pytest.raises(PeopleError, match="already"):
        services.end_membership(membership=membership, by=manager, last_day=today)


def test_a_day_that_was_announced_can_still_be_moved(manager: Person, assessor: Person) -> None:
    membership, today = role_of(assessor), timezone.localdate()
    for days in (30, 10):
        services.end_membership(
            membership=membership, by=manager, last_day=today + timedelta(days=days)
        )
    membership.refresh_from_db()
    assert membership.until == today + timedelta(days=10)


def test_others_than_managers_end_nothing(assessor: Person, educator: Person) -> None:
    with pytest.raises(PeopleError, match="Only a manager"):
        services.end_membership(
            membership=role_of(assessor), by=educator, last_day=timezone.localdate()
        )


def test_the_pages_give_and_end_and_refuse_with_a_sentence(
    academy: Academy, manager: Person, assessor: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    give = reverse("people:role-give", args=[academy.slug, assessor.token])
    assert "Given" in browser.post(give, {"role": "educator"}, follow=True).content.decode()
    assert "not on the list" in browser.post(give, {"role": "educator"}).content.decode()
    assert "Nothing chosen" in browser.post(give, {}).content.decode()
    own = reverse("people:membership-end", args=[academy.slug, role_of(manager).token])
    refused = browser.post(own, {"last_day": timezone.localdate().isoformat()}).content.decode()
    assert "the last manager" in refused
    theirs = assessor.memberships.get(role=Role.ASSESSOR)
    end = reverse("people:membership-end", args=[academy.slug, theirs.token])
    typed = browser.post(end, {"last_day": "some day"}).content.decode()
    assert "This is not a day" in typed
    assert 'value="some day"' in typed
    ended = browser.post(end, {"last_day": timezone.localdate().isoformat()}, follow=True)
    assert "Ended" in ended.content.decode()
