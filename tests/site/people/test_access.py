"""Every address of the people pages × six visitors and somebody from another academy."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from academy.people import services
from academy.people.models import Academy, ClosedDay, Cohort, Invitation, Person, Role

MANAGER = {Role.MANAGER}
COHORTS = {Role.MANAGER, Role.EDUCATOR}
ALL = set(Role)

# name, method, who may, what the address speaks of, status for those who may
TABLE = [
    ("member-list", "get", MANAGER, "", 200),
    ("member-detail", "get", MANAGER, "person", 200),
    ("membership-end", "get", MANAGER, "membership", 200),
    ("role-give", "post", MANAGER, "person", 200),
    ("place-change", "post", MANAGER, "person", 200),
    ("guardian-edit", "get", MANAGER, "person", 200),
    ("guardian-remove", "post", MANAGER, "person", 302),
    ("invitation-list", "get", MANAGER, "", 200),
    ("invitation-new", "get", MANAGER, "", 200),
    ("invitation-upload", "get", MANAGER, "", 200),
    ("invitation-resend", "post", MANAGER, "invitation", 302),
    ("invitation-revoke", "post", MANAGER, "invitation", 302),
    ("cohort-list", "get", COHORTS, "", 200),
    ("cohort-detail", "get", COHORTS, "cohort", 200),
    ("cohort-new", "get", MANAGER, "", 200),
    ("cohort-change", "get", MANAGER, "cohort", 200),
    ("cohort-end", "get", MANAGER, "cohort", 200),
    ("closed-days", "get", MANAGER, "", 200),
    ("closed-day-remove", "post", MANAGER, "closed_day", 302),
    ("place-new", "post", MANAGER, "cohort", 200),
    ("me", "get", ALL, "", 200),
    ("consent-decide", "post", ALL, "", 302),
    ("role-choose", "post", ALL, "", 404),  # without a role that one holds
]
OPEN = {"academies", "demo", "invitation-accept"}


@pytest.fixture
def tokens(
    apprentice: Person, plover: Cohort, invited: Callable[..., Invitation]
) -> dict[str, str]:
    membership = apprentice.memberships.get()
    closed = ClosedDay.objects.create(
        academy=plover.academy, day=date(2027, 3, 29), why="Easter Monday"
    )
    return {
        "closed_day": closed.token,
        "person": apprentice.token,
        "membership": membership.token,
        "cohort": plover.token,
        "invitation": invited().token,
    }


def names(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from names(pattern.url_patterns)
        else:
            yield str(pattern.name)


def test_every_address_has_a_row() -> None:
    [people] = [
        one for one in get_resolver().url_patterns if getattr(one, "namespace", "") == "people"
    ]
    assert isinstance(people, URLResolver)
    assert set(names(people.url_patterns)) == {row[0] for row in TABLE} | OPEN


@pytest.mark.parametrize(("name", "method", "may", "about", "status"), TABLE)
def test_who_may_open_it(
    name: str,
    method: str,
    may: set[Role],
    about: str,
    status: int,
    academy: Academy,
    other_academy: Academy,
    tokens: dict[str, str],
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    rest = [tokens[about]] if about else []
    url = reverse(f"people:{name}", args=[academy.slug, *rest])
    signed_out = getattr(Client(), method)(url)
    assert signed_out["Location"].startswith("/account/login/")
    stranger = signed_in(make_member(Role.MANAGER, academy=other_academy))
    assert getattr(stranger, method)(url).status_code == 404
    for role in Role:
        answer = getattr(signed_in(make_member(role)), method)(url)
        assert answer.status_code == (status if role in may else 403), role


@pytest.mark.parametrize("about", ["person", "membership", "cohort", "invitation"])
def test_rows_of_another_academy_are_not_there(
    about: str,
    other_academy: Academy,
    tokens: dict[str, str],
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(make_member(Role.MANAGER, academy=other_academy))
    for name, method, _, subject, _ in TABLE:
        if subject == about:
            url = reverse(f"people:{name}", args=[other_academy.slug, tokens[about]])
            assert getattr(browser, method)(url).status_code == 404, name


def test_what_changes_something_cannot_be_opened_by_a_link(
    academy: Academy,
    manager: Person,
    tokens: dict[str, str],
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(manager)
    for name, method, _, about, _ in TABLE:
        if method == "post":
            rest = [tokens[about]] if about else []
            url = reverse(f"people:{name}", args=[academy.slug, *rest])
            assert browser.get(url).status_code == 405, name


def test_a_person_whose_role_ended_is_an_outsider(
    academy: Academy,
    manager: Person,
    assessor: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    membership = assessor.memberships.get()
    membership.since = membership.until = "2026-01-05"
    membership.save()
    url = reverse("people:me", args=[academy.slug])
    assert signed_in(assessor).get(url).status_code == 404
    services.give_role(person=assessor, academy=academy, role="verifier", by=manager)
    assert signed_in(assessor).get(url).status_code == 200
