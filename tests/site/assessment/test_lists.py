"""Lists ask the same number of questions at 1 and at 40 rows, and opening them writes nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from academy.assessment.services.booking import ask_for_assessment
from academy.people.models import Person, Role
from tests.site.making import signed_off

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion


@pytest.fixture
def assessed(
    version: ModuleVersion, assessor: Person, make_member: Callable[..., Person]
) -> Callable[[int], None]:
    """`assessed(n)`: n more apprentices with a booking, a result and a sign-off."""

    def more(count: int) -> None:
        for _ in range(count):
            person = make_member(Role.APPRENTICE)
            ask_for_assessment(academy=version.academy, apprentice=person, version=version)
            signed_off(version, assessor, person)

    return more


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("assessment-list", "assessor"),
        ("booking-list", "educator"),
        ("signoff-list", "manager"),
        ("verification-list", "verifier"),
    ],
)
def test_a_list_keeps_its_questions(
    request: pytest.FixtureRequest,
    assessed: Callable[[int], None],
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    name: str,
    role: str,
) -> None:
    client = signed_in(request.getfixturevalue(role))
    assessed(1)
    client.get(url(name))
    with CaptureQueriesContext(connection) as few:
        client.get(url(name))
    assessed(39)
    with CaptureQueriesContext(connection) as many:
        assert client.get(url(name)).status_code == 200
    assert len(many) == len(few)
    written = [q["sql"] for q in many.captured_queries if not q["sql"].startswith("SELECT")]
    assert written == []
