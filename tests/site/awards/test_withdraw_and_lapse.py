"""A certificate ends by withdrawal, by an overturned sign-off, by replacement or by its day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, connection, transaction

from academy.assessment.services.signing import verify
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.awards.errors import AwardError
from academy.awards.models import Certificate, CertificateEvent
from academy.awards.queries import state_of
from academy.awards.services import withdraw_certificate
from academy.awards.state import Happened, State, masked, standing

if TYPE_CHECKING:
    from academy.people.models import Person

Issue = Callable[[], Certificate]
TODAY = date(2026, 11, 25)
UNTIL = date(2027, 11, 25)


def test_a_withdrawn_certificate_says_so_at_once(issue: Issue, manager: Person) -> None:
    certificate = issue()
    withdraw_certificate(certificate=certificate, by=manager, reason="name misspelt")
    assert state_of(certificate).state is State.WITHDRAWN


def test_withdrawing_needs_a_reason_and_happens_once(issue: Issue, manager: Person) -> None:
    certificate = issue()
    with pytest.raises(AwardError, match="Say why"):
        withdraw_certificate(certificate=certificate, by=manager, reason="  ")
    withdraw_certificate(certificate=certificate, by=manager, reason="name misspelt")
    with pytest.raises(AwardError, match="withdrawn already"):
        withdraw_certificate(certificate=certificate, by=manager, reason="again")


def test_withdrawing_writes_one_entry_without_the_reason(issue: Issue, manager: Person) -> None:
    certificate = issue()
    before = Entry.objects.count()
    withdraw_certificate(certificate=certificate, by=manager, reason="another's photograph")
    assert Entry.objects.count() == before + 1
    newest = Entry.objects.order_by("-sequence")[0]
    assert b"photograph" not in bytes(newest.canonical)


def test_only_a_manager_withdraws(issue: Issue, assessor: Person) -> None:
    with pytest.raises(AwardError, match="Only a manager"):
        withdraw_certificate(certificate=issue(), by=assessor, reason="a reason")


def test_overturning_a_sign_off_lapses_what_rests_on_it(issue: Issue, verifier: Person) -> None:
    certificate = issue()
    sign_off = certificate.sign_offs.get()
    verify(sign_off=sign_off, verifier=verifier, result="overturned", text="not their own work")
    assert state_of(certificate).state is State.LAPSED
    assert certificate.events.filter(kind=CertificateEvent.Kind.LAPSED).count() == 1


@pytest.mark.parametrize(
    ("kinds", "state"),
    [
        (["issued"], State.VALID),
        (["issued", "lapsed"], State.LAPSED),
        (["issued", "suspended"], State.SUSPENDED),
        (["issued", "suspended", "restored"], State.VALID),
        (["issued", "suspended", "lapsed"], State.SUSPENDED),
        (["issued", "lapsed", "replaced"], State.REPLACED),
        (["issued", "replaced", "withdrawn"], State.WITHDRAWN),
    ],
)
def test_one_state_hides_the_next(kinds: list[str], state: State) -> None:
    """Withdrawn > replaced > suspended > lapsed > valid (design.md section 5)."""
    events = [Happened(kind, TODAY) for kind in kinds]
    assert standing(events, valid_until=UNTIL, today=TODAY).state is state


def test_the_day_after_the_last_it_has_lapsed() -> None:
    issued = [Happened("issued", TODAY)]
    assert standing(issued, valid_until=TODAY, today=TODAY).state is State.VALID
    late = standing(issued, valid_until=date(2026, 11, 24), today=TODAY)
    assert (late.state, late.on) == (State.LAPSED, date(2026, 11, 24))


@pytest.mark.parametrize(
    ("name", "shown"),
    [("Eero Castell", "E… C…"), ("Wren Adeyemi-Hall", "W… A…"), ("Óda", "Ó…")],
)
def test_a_masked_name_keeps_the_first_letters(name: str, shown: str) -> None:
    assert masked(name) == shown


def test_a_certificate_stands_in_model_and_queryset(issue: Issue) -> None:
    certificate = issue()
    certificate.holder_name = "Somebody Else"
    with pytest.raises(AuditError):
        certificate.save()
    with pytest.raises(AuditError):
        Certificate.objects.filter(pk=certificate.pk).update(holder_name="Somebody Else")
    with pytest.raises(AuditError):
        certificate.delete()


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE awards_certificate SET holder_name = 'x'",
        "DELETE FROM awards_certificateevent",
        "UPDATE awards_certificateevent SET reason = 'x'",
    ],
)
def test_the_database_itself_refuses_to_change_a_certificate(issue: Issue, sql: str) -> None:
    issue()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
