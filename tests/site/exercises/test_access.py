"""Every address of the exercises × six visitors, and ids of another academy."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse

from academy.exercises import services
from academy.exercises.models import AnswerSheet
from academy.people.models import Academy, Cohort, Person, Role
from tests.site.factories import CohortPlaceFactory, MembershipFactory, PersonFactory

if TYPE_CHECKING:
    from tests.site.exercises.conftest import SetPaper

EDUCATOR = {Role.EDUCATOR}
STAFF = {Role.EDUCATOR, Role.ASSESSOR, Role.VERIFIER, Role.MANAGER}
LEARNER = {Role.APPRENTICE}
ENTERS = {Role.EDUCATOR, Role.ASSESSOR}
ALL = set(Role)

# name, method, who may, what the address speaks of, status for those who may
TABLE = [
    ("paper-list", "get", ALL, "", 200),
    ("paper-new", "get", EDUCATOR, "", 200),
    ("statistics", "get", STAFF, "", 200),
    ("statistics-csv", "get", STAFF, "", 200),
    ("statistics-xlsx", "get", STAFF, "", 200),
    ("print-download", "get", EDUCATOR, "print", 404),  # nothing is printed here
    ("sheet-detail", "get", ALL, "done", 200),
    ("sheet-keep", "post", LEARNER, "open", 302),
    ("sheet-outbox", "post", LEARNER, "open", 200),
    ("sheet-hand-in", "get", LEARNER, "open", 200),
    ("eye", "get", ALL, "learner", 200),
    ("paper-detail", "get", STAFF, "paper", 200),
    ("paper-results-csv", "get", STAFF, "paper", 200),
    ("paper-results-xlsx", "get", STAFF, "paper", 200),
    ("paper-statistics", "get", STAFF, "paper", 200),
    ("paper-statistics-csv", "get", STAFF, "paper", 200),
    ("paper-statistics-xlsx", "get", STAFF, "paper", 200),
    ("paper-preview", "get", EDUCATOR, "paper", 200),
    ("paper-enter", "get", ENTERS, "paper", 200),
    ("sheet-enter", "get", ENTERS, "paper", 302),  # the sheet is handed in
    ("paper-print", "get", EDUCATOR, "paper", 200),
    ("paper-mark-again", "get", EDUCATOR, "paper", 200),
    ("paper-edit", "get", EDUCATOR, "paper", 302),  # somebody has begun it
    ("paper-close", "get", EDUCATOR, "paper", 302),  # it is no test
    ("paper-draw", "post", EDUCATOR, "paper", 302),
    ("paper-follow-up", "get", EDUCATOR, "paper", 200),
    ("paper-withdraw", "get", EDUCATOR, "paper", 200),
    ("paper-answer", "get", LEARNER, "paper", 200),
]

WRITES = ("INSERT", "UPDATE", "DELETE")


@pytest.fixture
def tokens(learner: Person, set_paper: SetPaper) -> dict[str, str]:
    paper = set_paper()
    done = services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=learner), by=learner)
    begun = services.start_sheet(paper=paper, apprentice=learner)
    return {
        "paper": paper.token,
        "done": done.token,
        "open": begun.token,
        "print": "x" * 22,
        "learner": learner.token,
    }


def address(academy: Academy, name: str, token: str) -> str:
    at = {"academy": academy.slug} | ({"token": token} if token else {})
    if name == "sheet-enter":
        at["person"] = Person.objects.get(name="Tamsin Orle").token
    return reverse(f"exercises:{name}", kwargs=at)


def test_every_address_has_a_row() -> None:
    get_resolver().url_patterns  # noqa: B018  (registers the converters of the addresses)
    exercises = import_module("academy.exercises.urls")
    assert [row[0] for row in TABLE] == [pattern.name for pattern in exercises.urlpatterns]


@pytest.mark.parametrize("visitor", [None, *Role])
@pytest.mark.parametrize(("name", "method", "may", "what", "status"), TABLE)
def test_who_may_see_what(
    visitor: Role | None,
    name: str,
    method: str,
    may: set[Role],
    what: str,
    status: int,
    academy: Academy,
    tokens: dict[str, str],
    request: pytest.FixtureRequest,
) -> None:
    client = Client()
    if visitor is not None:
        client.force_login(request.getfixturevalue(visitor.value))
    answer = getattr(client, method)(address(academy, name, tokens.get(what, "")))
    if visitor is None:
        assert answer.status_code == 302
        assert answer["Location"].startswith("/account/login/")
    else:
        assert answer.status_code == (status if visitor in may else 403)


@pytest.mark.parametrize(("name", "method", "may", "what", "status"), TABLE)
def test_an_outsider_is_told_nothing(
    name: str,
    method: str,
    may: set[Role],
    what: str,
    status: int,
    academy: Academy,
    other_academy: Academy,
    tokens: dict[str, str],
) -> None:
    outsider = PersonFactory()
    for role in Role:
        MembershipFactory(academy=other_academy, person=outsider, role=role)
    client = Client()
    client.force_login(outsider)
    for where in (academy, other_academy):
        if where == other_academy and not what:
            continue
        answer = getattr(client, method)(address(where, name, tokens.get(what, "")))
        assert answer.status_code == 404


def test_another_apprentices_sheet_is_not_there(
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    academy: Academy,
    cohort: Cohort,
    tokens: dict[str, str],
) -> None:
    other = make_member(Role.APPRENTICE)
    CohortPlaceFactory(cohort=cohort, person=other)
    client = signed_in(other)
    for name, what in (("sheet-detail", "done"), ("sheet-hand-in", "open")):
        assert client.get(address(academy, name, tokens[what])).status_code == 404
    for name in ("sheet-keep", "sheet-outbox"):
        sent = client.post(address(academy, name, tokens["open"]), {"q1-stock": "1"})
        assert sent.status_code == 404


def test_an_apprentice_of_another_cohort_does_not_find_the_paper(
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    academy: Academy,
    tokens: dict[str, str],
) -> None:
    client = signed_in(make_member(Role.APPRENTICE))
    assert client.get(address(academy, "paper-answer", tokens["paper"])).status_code == 404


def test_staff_do_not_see_a_sheet_before_it_is_handed_in(
    signed_in: Callable[[Person], Client],
    educator: Person,
    academy: Academy,
    tokens: dict[str, str],
) -> None:
    answer = signed_in(educator).get(address(academy, "sheet-detail", tokens["open"]))
    assert answer.status_code == 404


def test_looking_never_writes(
    signed_in: Callable[[Person], Client],
    academy: Academy,
    educator: Person,
    learner: Person,
    tokens: dict[str, str],
) -> None:
    clients = {Role.EDUCATOR: signed_in(educator), Role.APPRENTICE: signed_in(learner)}
    for name, _, may, what, _ in TABLE:
        role = Role.EDUCATOR if Role.EDUCATOR in may else Role.APPRENTICE
        url = address(academy, name, tokens.get(what, ""))
        with CaptureQueriesContext(connection) as asked:
            clients[role].get(url, {"q1-stock": "30"} if name == "sheet-read" else {})
        written = [q["sql"] for q in asked if q["sql"].startswith(WRITES)]
        assert written == [], name
    assert AnswerSheet.objects.filter(submitted_at=None).count() == 1
