"""The lists: the same queries for one row and for forty, and looking changes nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from academy.people import services
from academy.people.models import Academy, Cohort, Invitation, Person, Role
from tests.site.factories import (
    CohortFactory,
    CohortPlaceFactory,
    MembershipFactory,
    PersonFactory,
)

if TYPE_CHECKING:
    from django.test import Client


def count(browser: Client, url: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as queries:
        assert browser.get(url).status_code == 200
    wrote = [
        query["sql"] for query in queries if query["sql"].startswith(("INSERT", "UPDATE", "DELETE"))
    ]
    assert not wrote
    return len(queries)


def more_people(academy: Academy, cohort: Cohort, manager: Person) -> None:
    for number in range(40):
        person = PersonFactory(name=f"Apprentice {number:02}")
        MembershipFactory(academy=academy, person=person)
        MembershipFactory(academy=academy, person=person, role=Role.ASSESSOR)
        CohortPlaceFactory(cohort=cohort, person=person)
        services.invite(
            academy=academy,
            by=manager,
            email=f"new-{number}@example.test",
            name="New",
            role="apprentice",
            cohort=cohort,
        )
        other = CohortFactory(academy=academy, name=f"Cohort {number}")
        other.educators.add(manager)


@pytest.mark.parametrize("name", ["member-list", "invitation-list", "cohort-list", "cohort-detail"])
def test_forty_rows_take_the_queries_of_one(
    name: str,
    academy: Academy,
    manager: Person,
    apprentice: Person,
    plover: Cohort,
    invited: Callable[..., Invitation],
    signed_in: Callable[[Person], Client],
) -> None:
    invited(role="apprentice", cohort=plover)
    plover.educators.add(manager)
    CohortPlaceFactory(cohort=plover, person=apprentice)
    rest = [plover.token] if name == "cohort-detail" else []
    url = reverse(f"people:{name}", args=[academy.slug, *rest])
    browser = signed_in(manager)
    few = count(browser, url)
    more_people(academy, plover, manager)
    assert count(browser, url) == few


def test_a_persons_page_takes_the_same_queries_however_long_their_history(
    academy: Academy,
    manager: Person,
    apprentice: Person,
    plover: Cohort,
    heron: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(manager)
    url = reverse("people:member-detail", args=[academy.slug, apprentice.token])
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=date(2026, 1, 5))
    services.move_to_cohort(person=apprentice, cohort=heron, by=manager, on=date(2026, 1, 6))
    few = count(browser, url)
    for day in range(7, 27):
        cohort = plover if day % 2 else heron
        services.move_to_cohort(person=apprentice, cohort=cohort, by=manager, on=date(2026, 1, day))
    assert count(browser, url) == few


def test_no_page_is_empty_handed_when_there_is_nothing(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    for name, words in (
        ("invitation-list", "Nobody was invited yet"),
        ("cohort-list", "No cohort yet"),
    ):
        page = browser.get(reverse(f"people:{name}", args=[academy.slug])).content.decode()
        assert words in page


def found(browser: Client, academy: Academy, query: str) -> set[str]:
    page = browser.get(reverse("people:member-list", args=[academy.slug]) + query)
    return {person.name for person in page.context["page"]}


def test_members_are_found_by_name_address_role_cohort_and_state(
    academy: Academy,
    manager: Person,
    apprentice: Person,
    educator: Person,
    make_member: Callable[..., Person],
    plover: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    CohortPlaceFactory(cohort=plover, person=apprentice)
    gone = make_member(Role.ASSESSOR, name="Bo Gone", email="bo@example.test")
    gone.memberships.update(since="2026-01-01", until="2026-01-02")
    browser = signed_in(manager)
    assert found(browser, academy, "") == {"Odile Farrant", "Tamsin Orle", "Maren Tolvey"}
    assert found(browser, academy, "?q=orle+tam") == {"Tamsin Orle"}
    assert found(browser, academy, f"?q={educator.email}") == {"Maren Tolvey"}
    assert found(browser, academy, "?role=educator") == {"Maren Tolvey"}
    assert found(browser, academy, f"?cohort={plover.token}") == {"Tamsin Orle"}
    assert found(browser, academy, "?state=left") == {"Bo Gone"}
    assert found(browser, academy, "?q=nobody") == set()
    assert "Tamsin Orle" in found(browser, academy, "?role=king&cohort=x&state=y&page=z")


def test_a_persons_page_tells_their_history_in_sentences(
    academy: Academy,
    manager: Person,
    apprentice: Person,
    plover: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=date(2026, 2, 2))
    url = reverse("people:member-detail", args=[academy.slug, apprentice.token])
    page = signed_in(manager).get(url).content.decode()
    assert "Odile Farrant gave Tamsin Orle a place in Plover from 2 Feb 2026" in page


def test_no_open_invitation_is_a_plain_nought(
    manager: Person, invited: Callable[..., Invitation], signed_in: Callable[[Person], Client]
) -> None:
    client, link = (
        signed_in(manager),
        f'href="{reverse("people:invitation-list", args=["larkmere"])}">',
    )
    address = reverse("people:member-list", args=["larkmere"])
    assert f"{link}0" not in client.get(address).text
    invited()
    assert f"{link}1" in client.get(address).text
