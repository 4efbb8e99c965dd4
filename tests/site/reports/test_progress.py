"""One apprentice's progress and evidence: they see their own, staff see everybody's."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable

import pytest
from django.test import Client

from academy.people.models import Academy, Person, Role
from tests.site.factories import CohortFactory, CohortPlaceFactory
from tests.site.making import judged_head, publish

SignedIn = Callable[[Person], Client]


def test_an_apprentice_sees_themselves_and_nobody_else(
    signed_in: SignedIn, apprentice: Person, make_member: Callable[..., Person]
) -> None:
    other = make_member(Role.APPRENTICE)
    browser = signed_in(apprentice)
    assert browser.get(f"/larkmere/progress/{apprentice.token}/").status_code == 200
    assert browser.get(f"/larkmere/progress/{other.token}/").status_code == 404


@pytest.mark.parametrize("role", ["assessor", "educator", "verifier", "manager"])
def test_staff_see_the_evidence_behind_a_cell(
    role: str,
    request: pytest.FixtureRequest,
    signed_in: SignedIn,
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
) -> None:
    version = publish(academy, educator, "coverage", zones=True)
    judged_head(version, assessor, apprentice)
    url = f"/larkmere/progress/{apprentice.token}/{version.module.token}/"
    page = signed_in(request.getfixturevalue(role)).get(url).content.decode()
    assert "1 of 1 heads competent in a row." in page
    assert "1 of 1 means a true pass rate plausibly 21–100 %." in page


def test_the_export_has_a_line_for_each_person_and_module(
    signed_in: SignedIn, academy: Academy, educator: Person, apprentice: Person
) -> None:
    publish(academy, educator, "coverage")
    cohort = CohortFactory(academy=academy)
    CohortPlaceFactory(cohort=cohort, person=apprentice, since=cohort.starts_on)
    response = signed_in(educator).get("/larkmere/matrix.csv")
    rows = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert rows[1] == ["Tamsin Orle", "The coverage module", "not_started", ""]


def test_a_person_of_another_academy_is_not_there(
    signed_in: SignedIn,
    educator: Person,
    other_academy: Academy,
    make_member: Callable[..., Person],
) -> None:
    stranger = make_member(Role.APPRENTICE, other_academy)
    assert signed_in(educator).get(f"/larkmere/progress/{stranger.token}/").status_code == 404
