"""A certificate is issued for a complete award, once, by a manager."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.audit.models import Entry
from academy.awards.errors import AwardError
from academy.awards.models import Certificate, CertificateEvent
from academy.awards.queries import award_places
from academy.awards.services import issue_certificate
from tests.site.making import award_of, publish, signed_off, upheld

if TYPE_CHECKING:
    from academy.curriculum.models import Award
    from academy.people.models import Academy, Person

Issue = Callable[[], Certificate]


def test_it_carries_what_was_signed_and_who_it_is_for(issue: Issue, apprentice: Person) -> None:
    certificate = issue()
    assert certificate.holder_name == apprentice.name
    assert [module["title"] for module in certificate.modules] == ["The hygiene module"]
    assert certificate.number == 1


def test_issuing_writes_one_entry_and_asks_for_the_paper(
    issue: Issue, no_printing: list[tuple[object, ...]]
) -> None:
    before = Entry.objects.count()
    certificate = issue()
    assert Entry.objects.count() == before + 1
    assert no_printing == [("academy.awards.tasks.print_certificate", certificate.pk)]


def test_it_is_valid_at_most_until_the_first_sign_off_lapses(issue: Issue) -> None:
    certificate = issue()
    assert certificate.valid_until == certificate.sign_offs.get().in_date_until


def test_issuing_twice_gives_the_same_certificate(issue: Issue) -> None:
    assert issue().pk == issue().pk
    assert Certificate.objects.count() == 1


def test_a_sign_off_that_waits_for_the_verifier_is_not_enough(
    academy: Academy, award: Award, assessor: Person, apprentice: Person, manager: Person
) -> None:
    signed_off(award.modules.get().versions.get(), assessor, apprentice)
    with pytest.raises(AwardError, match="waits for the verifier"):
        issue_certificate(academy=academy, award=award, holder=apprentice, by=manager)
    assert not Certificate.objects.exists()


def test_a_missing_module_is_named(
    academy: Academy, award: Award, apprentice: Person, manager: Person
) -> None:
    with pytest.raises(AwardError, match="The hygiene module: not signed off"):
        issue_certificate(academy=academy, award=award, holder=apprentice, by=manager)


def test_two_assessors_are_needed_where_the_award_says_so(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    verifier: Person,
    manager: Person,
) -> None:
    version = publish(academy, educator, "quarters")
    award = award_of(academy, educator, version, two_assessors=True)
    upheld(signed_off(version, assessor, apprentice), verifier)
    with pytest.raises(AwardError, match="two are needed"):
        issue_certificate(academy=academy, award=award, holder=apprentice, by=manager)


@pytest.mark.parametrize("role", ["assessor", "educator", "verifier", "apprentice"])
def test_only_a_manager_issues(
    role: str, request: pytest.FixtureRequest, academy: Academy, complete: Award, apprentice: Person
) -> None:
    somebody = request.getfixturevalue(role)
    with pytest.raises(AwardError, match="Only a manager"):
        issue_certificate(academy=academy, award=complete, holder=apprentice, by=somebody)


def test_an_expired_sign_off_is_named_with_its_day(
    academy: Academy, complete: Award, apprentice: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    later = timezone.localdate() + timedelta(days=900)
    monkeypatch.setattr("academy.awards.queries.timezone.localdate", lambda *_: later)
    place = next(p for p in award_places(academy, [apprentice.pk]) if p.award == complete)
    assert "expired" in place.open[0]


def test_the_first_event_says_that_it_was_issued(issue: Issue, manager: Person) -> None:
    event = issue().events.get()
    assert (event.kind, event.by) == (CertificateEvent.Kind.ISSUED, manager)
