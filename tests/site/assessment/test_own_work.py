"""Nobody decides on their own work: second marks, verification and who names the verifier.

By constraint, by service and by URL. Here is what no file of its own shows; docs/assessment.md
lists every step with its tests.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Assessment,
    SecondAssignment,
    SignOff,
    Verification,
    VerifierNamed,
)
from academy.assessment.services.ruling import rule
from academy.assessment.services.sampling import Batch, Promise, open_sample_plan
from academy.assessment.services.second import assign_second_mark, start_second_mark
from academy.assessment.services.signing import verify
from academy.assessment.services.submitting import submit
from academy.assessment.services.verifying import name_verifier
from academy.assessment.verifying import waiting_for
from academy.craft.judging.marking import SecondCause
from academy.people.models import Role
from tests.site.making import draft_head, full_boxes, mark_all, second_mark, sign_on
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


# Who gives the second mark


@pytest.fixture
def waiting(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Submitted, and drawn by the sample for a second mark."""
    head = draft_head(version, assessor, apprentice)
    mark_all(head, level=4, overall=5)
    submit(assessment=head, by=assessor, points=[full_boxes()], asked_for=[SecondCause.SAMPLE])
    head.refresh_from_db()
    return head


def test_no_address_gives_the_second_mark_to_the_first_assessor_or_the_apprentice(
    waiting: Assessment,
    assessor: Person,
    apprentice: Person,
    educator: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(apprentice, Role.ASSESSOR)
    take, give = (url(f"second-{way}", token=waiting.token) for way in ("take", "assign"))
    signed_in(assessor).post(take)
    assert signed_in(apprentice).post(take).status_code == 404
    for person in (assessor, apprentice):
        signed_in(educator).post(give, {"assessor": person.token})
    assert not SecondAssignment.objects.exists()
    assert not Assessment.objects.filter(kind="second").exists()


def test_the_database_lets_nobody_choose_who_looks_at_their_own_work(
    waiting: Assessment, assessor: Person, apprentice: Person, colleague: Person
) -> None:
    for person in (assessor, apprentice):
        with refused_by_the_database():
            SecondAssignment.objects.create(first=waiting, assessor=colleague, by=person)


def test_nobody_chooses_who_looks_at_their_own_work(
    waiting: Assessment,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    also: Callable[..., None],
) -> None:
    for person in (assessor, apprentice):
        also(person, Role.EDUCATOR)
        with pytest.raises(AssessmentError, match="looks at their own work"):
            assign_second_mark(first=waiting, assessor=colleague, by=person)


def test_no_address_lets_anybody_choose_who_looks_at_their_own_work(
    waiting: Assessment,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    at, data = url("second-assign", token=waiting.token), {"assessor": colleague.token}
    for person, status in ((assessor, 403), (apprentice, 404)):
        also(person, Role.EDUCATOR)
        assert signed_in(person).post(at, data).status_code == status
    assert not SecondAssignment.objects.exists()


# Verification, by who gave the second mark


@pytest.fixture
def seconded(waiting: Assessment, colleague: Person) -> SignOff:
    """A sign-off on a head that a colleague marked too and agreed with."""
    second = start_second_mark(first=waiting, assessor=colleague)
    mark_all(second, level=4, overall=5)
    submit(assessment=second, by=colleague, points=[full_boxes()])
    return sign_on(waiting.module_version, waiting.assessor, waiting.apprentice)


def test_the_database_lets_nobody_verify_what_rests_on_their_second_mark(
    seconded: SignOff, colleague: Person, manager: Person
) -> None:
    with refused_by_the_database():
        Verification.objects.create(
            academy=seconded.academy, sign_off=seconded, verifier=colleague, result="upheld"
        )
    with refused_by_the_database():
        VerifierNamed.objects.create(
            sign_off=seconded, verifier=colleague, by=manager, reason="In turn."
        )


def test_nobody_verifies_what_rests_on_their_second_mark(
    seconded: SignOff, colleague: Person, manager: Person, also: Callable[..., None]
) -> None:
    also(colleague, Role.VERIFIER)
    with pytest.raises(AssessmentError, match="had a part in"):
        verify(sign_off=seconded, verifier=colleague, result="upheld")
    with pytest.raises(AssessmentError, match="had a part in"):
        name_verifier(sign_off=seconded, verifier=colleague, by=manager, reason="In turn.")
    (row,) = waiting_for(seconded.academy, colleague)
    assert not row.may
    assert row.why_not.startswith("you had a part in it")


def test_no_address_verifies_what_rests_on_the_readers_second_mark(
    seconded: SignOff,
    colleague: Person,
    manager: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(colleague, Role.VERIFIER)
    at = url("verification-new", token=seconded.token)
    desk = signed_in(colleague)
    assert desk.get(at).status_code == 403
    assert desk.post(at, {"result": "upheld"}).status_code == 403
    choices = signed_in(manager).get(url("verifier-name", token=seconded.token)).content.decode()
    assert colleague.token not in choices
    assert not Verification.objects.exists()


# Verification, by who ruled on the two marks


@pytest.fixture
def ruled(waiting: Assessment, colleague: Person, verifier: Person) -> SignOff:
    """A sign-off on a head whose two marks differed, so that a verifier ruled."""
    second = second_mark(waiting, colleague, level=1)
    rule(first=waiting, second=second, verifier=verifier, decision="first", reason="The photo.")
    return sign_on(waiting.module_version, waiting.assessor, waiting.apprentice)


def test_the_database_lets_nobody_verify_what_rests_on_their_ruling(
    ruled: SignOff, verifier: Person, manager: Person
) -> None:
    with refused_by_the_database():
        Verification.objects.create(
            academy=ruled.academy, sign_off=ruled, verifier=verifier, result="upheld"
        )
    with refused_by_the_database():
        VerifierNamed.objects.create(
            sign_off=ruled, verifier=verifier, by=manager, reason="In turn."
        )


def test_nobody_verifies_what_rests_on_their_ruling(
    ruled: SignOff, verifier: Person, manager: Person, make_member: Callable[..., Person]
) -> None:
    with pytest.raises(AssessmentError, match="had a part in"):
        verify(sign_off=ruled, verifier=verifier, result="upheld")
    with pytest.raises(AssessmentError, match="had a part in"):
        name_verifier(sign_off=ruled, verifier=verifier, by=manager, reason="In turn.")
    (row,) = waiting_for(ruled.academy, verifier)
    assert row.why_not.startswith("you had a part in it")
    batch = Batch("Autumn", timezone.localdate(), timezone.localdate())
    promise = Promise(rate=Decimal("0.1"), confidence=Decimal("0.95"))
    with pytest.raises(AssessmentError, match="had a part in"):
        open_sample_plan(academy=ruled.academy, by=verifier, batch=batch, promise=promise, seed=1)
    other = make_member(Role.VERIFIER, name="Pia Harrow")
    assert verify(sign_off=ruled, verifier=other, result="upheld").verifier == other


def test_no_address_verifies_what_rests_on_the_readers_ruling(
    ruled: SignOff, verifier: Person, manager: Person, signed_in: SignedIn, url: Url
) -> None:
    at, desk = url("verification-new", token=ruled.token), signed_in(verifier)
    assert desk.get(at).status_code == 403
    assert desk.post(at, {"result": "upheld"}).status_code == 403
    choices = signed_in(manager).get(url("verifier-name", token=ruled.token)).content.decode()
    assert verifier.token not in choices
    assert not Verification.objects.exists()


def test_a_batch_offers_no_verifier_what_another_was_named_for(
    sign_off: SignOff,
    verifier: Person,
    manager: Person,
    make_member: Callable[..., Person],
    signed_in: SignedIn,
    url: Url,
) -> None:
    day = timezone.localdate()
    plan = open_sample_plan(
        academy=sign_off.academy,
        by=verifier,
        batch=Batch("Autumn", day, day),
        promise=Promise(rate=Decimal("0.5"), confidence=Decimal("0.8")),
        seed=1,
    )
    at, shown = (
        url("verification-new", token=sign_off.token),
        url("sample-detail", token=plan.token),
    )
    assert at in signed_in(verifier).get(shown).content.decode()
    other = make_member(Role.VERIFIER, name="Pia Harrow")
    name_verifier(sign_off=sign_off, verifier=other, by=manager, reason="In turn.")
    page = signed_in(verifier).get(shown).content.decode()
    assert "Pia Harrow was named to verify it" in page
    assert at not in page


# Who names the verifier


def test_the_database_lets_nobody_name_the_verifier_of_their_own_decision(
    sign_off: SignOff, verifier: Person, assessor: Person, apprentice: Person
) -> None:
    for person in (assessor, apprentice):
        with refused_by_the_database():
            VerifierNamed.objects.create(
                sign_off=sign_off, verifier=verifier, by=person, reason="In turn."
            )


def test_nobody_names_the_verifier_of_their_own_decision(
    sign_off: SignOff, verifier: Person, assessor: Person, also: Callable[..., None]
) -> None:
    also(assessor, Role.MANAGER)
    with pytest.raises(AssessmentError, match="had no part in this"):
        name_verifier(sign_off=sign_off, verifier=verifier, by=assessor, reason="In turn.")


def test_no_address_names_the_verifier_of_ones_own_decision(
    sign_off: SignOff,
    verifier: Person,
    assessor: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(assessor, Role.MANAGER)
    at, office = url("verifier-name", token=sign_off.token), signed_in(assessor)
    data = {"verifier": verifier.token, "reason": "In turn."}
    assert office.post(at, data).status_code == 403
    for name, more in (("verification-list", {}), ("signoff-detail", {"token": sign_off.token})):
        assert at not in office.get(url(name, **more)).content.decode()
    assert not VerifierNamed.objects.exists()
