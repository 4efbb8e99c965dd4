"""Nobody decides on a certificate of their own: by constraint, by service and by URL."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.awards.errors import AwardError
from academy.awards.models import Certificate, CertificateEvent
from academy.awards.services import issue_certificate, withdraw_certificate
from academy.people.models import Academy, Role
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import Award
    from academy.people.models import Person

Issue = Callable[[], Certificate]


def url(name: str, **kwargs: object) -> str:
    return reverse(f"awards:{name}", kwargs={"academy": "larkmere", **kwargs})


@pytest.fixture
def learning_manager(apprentice: Person, also: Callable[..., None]) -> Person:
    """The apprentice whose award is complete, and a manager too."""
    also(apprentice, Role.MANAGER)
    return apprentice


def test_the_database_lets_nobody_issue_a_certificate_to_themselves(
    academy: Academy, complete: Award, learning_manager: Person
) -> None:
    with refused_by_the_database():
        Certificate.objects.create(
            academy=academy,
            number=1,
            holder=learning_manager,
            holder_name=learning_manager.name,
            award=complete,
            award_title=complete.title,
            modules=[],
            issued_on=timezone.localdate(),
            valid_until=timezone.localdate(),
            issued_by=learning_manager,
        )


def test_nobody_issues_a_certificate_to_themselves(
    academy: Academy, complete: Award, learning_manager: Person
) -> None:
    with pytest.raises(AwardError, match="Nobody issues a certificate to themselves"):
        issue_certificate(
            academy=academy, award=complete, holder=learning_manager, by=learning_manager
        )


def test_no_address_issues_a_certificate_to_oneself(
    complete: Award, learning_manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    at = url("certificate-issue", award=complete.token, person=learning_manager.token)
    office = signed_in(learning_manager)
    assert office.get(at).status_code == 403
    assert office.post(at).status_code == 403
    assert at not in office.get(url("certificate-list")).content.decode()
    assert not Certificate.objects.exists()


def test_the_database_lets_nothing_happen_to_a_certificate_by_its_holder(
    issue: Issue, learning_manager: Person
) -> None:
    certificate = issue()
    for kind in ("withdrawn", "suspended", "restored", "lapsed", "replaced"):
        with refused_by_the_database():
            CertificateEvent.objects.create(
                certificate=certificate, kind=kind, by=learning_manager, reason="Mine."
            )


def test_nobody_withdraws_a_certificate_of_their_own(
    issue: Issue, learning_manager: Person
) -> None:
    with pytest.raises(AwardError, match="Nobody withdraws a certificate of their own"):
        withdraw_certificate(certificate=issue(), by=learning_manager, reason="Mine.")


def test_no_address_withdraws_a_certificate_of_ones_own(
    issue: Issue, learning_manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    certificate = issue()
    office = signed_in(learning_manager)
    at = url("certificate-withdraw", token=certificate.token)
    assert office.post(at, {"reason": "Mine."}).status_code == 403
    page = office.get(url("certificate-detail", token=certificate.token)).content.decode()
    assert at not in page
    assert not certificate.events.filter(kind="withdrawn").exists()
