"""Each role's first page answers its question from the data, and is right when there is none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.test import Client
from django.utils import timezone

from academy.assessment.services.booking import ask_for_assessment, book
from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit
from academy.people.models import Academy, Cohort, Person, Role
from academy.practice.services import Sitting, log_session
from academy.practice.targets import Done
from academy.reports.cohorts import losses, matrix
from academy.web.days import written_moment
from tests.site.factories import CohortFactory, CohortPlaceFactory
from tests.site.making import award_of, draft_head, judged_head, publish, signed_off, upheld

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion

SignedIn = Callable[[Person], Client]
ROLES = ["apprentice", "assessor", "educator", "verifier", "manager"]


def first_page(signed_in: SignedIn, person: Person) -> str:
    response = signed_in(person).get("/larkmere/")
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def cohort(academy: Academy, apprentice: Person, educator: Person) -> Cohort:
    cohort = CohortFactory(academy=academy, name="Heron")
    cohort.educators.add(educator)
    CohortPlaceFactory(cohort=cohort, person=apprentice, since=cohort.starts_on)
    return cohort


@pytest.fixture
def version(academy: Academy, educator: Person) -> ModuleVersion:
    return publish(academy, educator, "coverage", zones=True, target=2)


def practise(version: ModuleVersion, apprentice: Person, heads: int, days_ago: int = 0) -> None:
    log_session(
        academy=version.academy,
        apprentice=apprentice,
        version=version,
        sitting=Sitting(
            started_at=timezone.now() - timedelta(days=days_ago, hours=2),
            minutes=60,
            units=[Done(PracticeUnit.HEADS, heads)],
        ),
        client_key=f"{heads}-{days_ago}",
    )


@pytest.mark.parametrize("role", ROLES)
def test_an_empty_academy_has_a_right_first_page(
    role: str, request: pytest.FixtureRequest, signed_in: SignedIn
) -> None:
    assert "<h1>" in first_page(signed_in, request.getfixturevalue(role))


def test_an_apprentice_is_told_what_to_practise_and_how_much(
    signed_in: SignedIn, apprentice: Person, version: ModuleVersion
) -> None:
    practise(version, apprentice, 1)
    page = first_page(signed_in, apprentice)
    assert "Practise next: The coverage module" in page
    assert "1 head to go." in page


def test_a_met_target_says_ready_for_assessment(
    signed_in: SignedIn, apprentice: Person, version: ModuleVersion
) -> None:
    practise(version, apprentice, 2)
    assert "Ready for assessment: The coverage module" in first_page(signed_in, apprentice)


def test_an_assessor_sees_what_is_missing_on_the_open_head(
    signed_in: SignedIn, assessor: Person, apprentice: Person, version: ModuleVersion
) -> None:
    draft_head(version, assessor, apprentice)
    page = first_page(signed_in, assessor)
    assert "Tamsin Orle: 3 levels missing, overall rating missing" in page


def test_an_educator_sees_who_asked_and_is_not_booked(
    signed_in: SignedIn,
    educator: Person,
    apprentice: Person,
    version: ModuleVersion,
    cohort: Cohort,
) -> None:
    practise(version, apprentice, 2)
    ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    page = first_page(signed_in, educator)
    assert "One person needs something from you this week" in page
    assert "asked to be assessed" in page


def test_an_educator_sees_who_stopped_practising(
    signed_in: SignedIn,
    educator: Person,
    apprentice: Person,
    version: ModuleVersion,
    cohort: Cohort,
) -> None:
    practise(version, apprentice, 1, days_ago=24)
    assert "No practice logged for 24 days" in first_page(signed_in, educator)


def test_a_verifier_sees_the_decisions_to_look_at(
    signed_in: SignedIn,
    verifier: Person,
    assessor: Person,
    apprentice: Person,
    academy: Academy,
    educator: Person,
) -> None:
    signed_off(publish(academy, educator, "hygiene"), assessor, apprentice)
    page = first_page(signed_in, verifier)
    assert "1 decision you must look at" in page
    assert "first sign-offs" in page


def test_a_manager_sees_which_certificates_can_be_issued(
    signed_in: SignedIn,
    manager: Person,
    verifier: Person,
    assessor: Person,
    apprentice: Person,
    academy: Academy,
    educator: Person,
    cohort: Cohort,
) -> None:
    version = publish(academy, educator, "hygiene")
    award_of(academy, educator, version)
    upheld(signed_off(version, assessor, apprentice), verifier)
    assert "One certificate can be issued" in first_page(signed_in, manager)


def test_losses_are_the_share_of_weighted_levels_lost(
    academy: Academy, assessor: Person, apprentice: Person, version: ModuleVersion
) -> None:
    judged_head(version, assessor, apprentice, level=3)
    found = losses(academy, [apprentice], version.module, version.title)
    assert {zone.zone: zone.share for zone in found.zones} == {Zone.CROWN: 0.25, Zone.NAPE: 0.25}
    assert found.few


def test_the_matrix_costs_the_same_for_one_and_for_many(
    academy: Academy,
    apprentice: Person,
    version: ModuleVersion,
    make_member: Callable[..., Person],
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    with django_assert_max_num_queries(40) as counted:  # type: ignore[attr-defined]
        matrix(academy, [apprentice])
    at_one = len(counted.captured_queries)
    others = [make_member(Role.APPRENTICE) for _ in range(12)]
    for other in others:
        practise(version, other, 1)
    with django_assert_max_num_queries(40) as counted:  # type: ignore[attr-defined]
        matrix(academy, [apprentice, *others])
    assert len(counted.captured_queries) == at_one


def test_a_ready_module_that_was_asked_for_leads_to_its_booking(
    signed_in: SignedIn,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    version: ModuleVersion,
) -> None:
    practise(version, apprentice, 2)
    asked = ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    page = first_page(signed_in, apprentice)
    assert "Asked: The coverage module" in page
    assert "See booking" in page
    assert "Ask for an assessment" not in page
    at = timezone.now() + timedelta(days=1)
    book(booking=asked, by=educator, assessor=assessor, at=at, place="chair 4")
    page = first_page(signed_in, apprentice)
    assert f"Booked: The coverage module, {written_moment(at)}" in page


def test_a_booking_whose_draft_is_begun_is_not_listed_again(
    signed_in: SignedIn,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    version: ModuleVersion,
) -> None:
    practise(version, apprentice, 2)
    asked = ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    at = timezone.now() + timedelta(days=1)
    book(booking=asked, by=educator, assessor=assessor, at=at, place="chair 4")
    assert "1 head booked with you." in first_page(signed_in, assessor)
    draft_head(version, assessor, apprentice)
    page = first_page(signed_in, assessor)
    assert "Nothing is booked with you." in page
    assert "chair 4" not in page
