"""A certificate is issued for a complete award, once, by a manager."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.results import in_date_until
from academy.assessment.services.sampling import (
    Batch,
    Promise,
    close_sample_plan,
    open_sample_plan,
)
from academy.assessment.services.signing import verify
from academy.audit.models import Entry
from academy.awards.errors import AwardError
from academy.awards.models import Certificate, CertificateEvent
from academy.awards.queries import award_places
from academy.awards.services import issue_certificate
from academy.people.models import Role
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


def test_it_is_valid_for_the_awards_months_where_no_sign_off_lapses_before(
    academy: Academy,
    complete: Award,
    apprentice: Person,
    manager: Person,
    no_printing: object,
) -> None:
    complete.months_valid = 6
    complete.save()
    made = issue_certificate(academy=academy, award=complete, holder=apprentice, by=manager)
    assert made.valid_until == in_date_until(made.issued_on, 6)
    assert made.valid_until < made.sign_offs.get().in_date_until


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


def test_a_sign_off_that_lies_in_a_closed_batch_is_enough_without_a_look_of_its_own(
    academy: Academy,
    award: Award,
    assessor: Person,
    apprentice: Person,
    verifier: Person,
    manager: Person,
    make_member: Callable[..., Person],
    no_printing: object,
) -> None:
    version = award.modules.get().versions.get()
    people = [apprentice, *(make_member(Role.APPRENTICE) for _ in range(3))]
    rows = [signed_off(version, assessor, person) for person in people]
    today = timezone.localdate()
    plan = open_sample_plan(
        academy=academy,
        by=verifier,
        batch=Batch("Today", today, today),
        promise=Promise(rate=Decimal("0.5"), confidence=Decimal("0.8")),
        seed=7,
    )
    left = next(row for row in rows if row.sampled.why == "")
    with pytest.raises(AwardError, match="waits for the verifier"):
        issue_certificate(academy=academy, award=award, holder=left.apprentice, by=manager)
    for row in plan.decisions.exclude(why=""):
        upheld(row.sign_off, verifier)
    close_sample_plan(plan=plan, by=verifier)
    made = issue_certificate(academy=academy, award=award, holder=left.apprentice, by=manager)
    assert list(made.sign_offs.all()) == [left]


def test_an_open_action_on_a_sign_off_is_not_enough(
    academy: Academy, complete: Award, apprentice: Person, verifier: Person, manager: Person
) -> None:
    verify(
        sign_off=apprentice.sign_offs.get(),
        verifier=verifier,
        result="action_needed",
        text="The date is missing.",
        due_on=timezone.localdate(),
    )
    with pytest.raises(AwardError, match="the verifier asked for action"):
        issue_certificate(academy=academy, award=complete, holder=apprentice, by=manager)


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


def test_two_assessors_who_made_the_named_assessments_are_enough(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    verifier: Person,
    manager: Person,
    make_member: Callable[..., Person],
    no_printing: object,
) -> None:
    first, second = (publish(academy, educator, key) for key in ("quarters", "slices"))
    award = award_of(academy, educator, first, second, two_assessors=True)
    upheld(signed_off(first, assessor, apprentice), verifier)
    upheld(signed_off(second, make_member(Role.ASSESSOR), apprentice), verifier)
    made = issue_certificate(academy=academy, award=award, holder=apprentice, by=manager)
    assert made.sign_offs.count() == 2


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
