"""In the demo the main road can be walked to its end: sign-off, verification, certificate."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

import pytest

from academy.assessment.services.signing import Ticks, sign_off, verify
from academy.awards.errors import AwardError
from academy.awards.services import issue_certificate
from academy.curriculum.models import Award, ModuleVersion
from academy.people.models import Academy, Person

if TYPE_CHECKING:
    from academy.assessment.models import SignOff
    from academy.awards.models import Certificate

Find = Callable[[str], Person]


@pytest.fixture(autouse=True)
def _nothing_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django_q.conf.Conf.SYNC", False)


def signed(academy: Academy, person: Find) -> SignOff:
    return sign_off(
        academy=academy,
        assessor=person("Dilys"),
        apprentice=person("Tamsin"),
        version=ModuleVersion.objects.get(
            academy=academy, module__key="white-coverage", state="published"
        ),
        ticks=Ticks(valid=True, sufficient=True, authentic=True, current=True),
        method="password",
    )


def issued(academy: Academy, person: Find) -> Certificate:
    return issue_certificate(
        academy=academy,
        award=Award.objects.get(academy=academy, key="white-hair-coverage"),
        holder=person("Tamsin"),
        by=person("Odile"),
    )


def test_tamsin_gets_her_certificate_on_the_same_day(demo_academy: Academy, person: Find) -> None:
    verify(sign_off=signed(demo_academy, person), verifier=person("Ines"), result="upheld")
    certificate = issued(demo_academy, person)
    assert certificate.sign_offs.count() == 7
    assert certificate.issued_on == date(2026, 11, 25)


def test_without_the_verifier_it_is_refused(demo_academy: Academy, person: Find) -> None:
    signed(demo_academy, person)
    with pytest.raises(AwardError, match="White-hair coverage: waits for the verifier"):
        issued(demo_academy, person)
