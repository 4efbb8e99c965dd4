"""The bar at the top says in which room a page lies."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from academy.people.models import Person, Role

if TYPE_CHECKING:
    from django.test import Client

CURRENT = re.compile(r'<nav class="nav-main".*?aria-current="page">([^<]*)</a>', re.DOTALL)


@pytest.mark.parametrize(
    ("role", "path", "room"),
    [
        (Role.VERIFIER, "", "Today"),
        (Role.VERIFIER, "assessment/decisions/", "Decisions"),
        (Role.VERIFIER, "assessment/samples/new/", "Decisions"),
        (Role.VERIFIER, "assessment/pairs/", "Decisions"),
        (Role.MANAGER, "assessment/samples/", "Decisions"),
        (Role.EDUCATOR, "assessment/seconds/", "Assessments"),
        (Role.ASSESSOR, "assessment/seconds/", "Score"),
        (Role.ASSESSOR, "assessment/signed/", "Sign off"),
    ],
)
def test_a_page_lies_in_the_room_of_what_it_belongs_to(
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    role: Role,
    path: str,
    room: str,
) -> None:
    page = signed_in(make_member(role)).get(f"/larkmere/{path}").content.decode()
    found = CURRENT.search(page)
    assert found
    assert found[1] == room
