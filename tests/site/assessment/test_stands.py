"""What was submitted or decided stands: by model, by QuerySet and by the database itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from django.db import DatabaseError, connection, models, transaction

from academy.assessment.models import (
    Acknowledgement,
    Assessment,
    Feedback,
    Mark,
    Outcome,
    SignOff,
    SignOffAssessment,
    Verification,
)
from academy.assessment.services.signing import verify
from academy.assessment.services.submitting import acknowledge
from academy.audit.errors import AuditError

if TYPE_CHECKING:
    from academy.people.models import Person

CHANGES: list[tuple[type[models.Model], dict[str, Any]]] = [
    (Assessment, {"overall": 1}),
    (Mark, {"level": 0}),
    (Feedback, {"why": "something else"}),
    (Outcome, {"by_marks": "not_yet"}),
    (Acknowledgement, {"disagrees": True}),
    (SignOff, {"method": "passkey"}),
    (SignOffAssessment, {"assessment_id": 0}),
    (Verification, {"result": "overturned"}),
]
TABLES = pytest.mark.parametrize(
    ("model", "change"), CHANGES, ids=[model.__name__ for model, _ in CHANGES]
)


@pytest.fixture(autouse=True)
def _everything(sign_off: SignOff, verifier: Person, apprentice: Person) -> None:
    """One row of each."""
    verify(sign_off=sign_off, verifier=verifier, result="upheld")
    acknowledge(assessment=sign_off.assessments.get(), apprentice=apprentice)


@TABLES
def test_the_model_refuses(model: type[models.Model], change: dict[str, Any]) -> None:
    row = model._default_manager.first()
    assert row is not None
    for name, value in change.items():
        setattr(row, name, value)
    with pytest.raises(AuditError):
        row.save()
    with pytest.raises(AuditError):
        row.delete()


@TABLES
def test_the_queryset_refuses(model: type[models.Model], change: dict[str, Any]) -> None:
    rows = model._default_manager.all()
    with pytest.raises(AuditError):
        rows.update(**change)
    with pytest.raises(AuditError):
        rows.delete()
    with pytest.raises(AuditError):
        rows.bulk_update(list(rows), list(change))


@TABLES
def test_the_database_refuses(model: type[models.Model], change: dict[str, Any]) -> None:
    table = model._meta.db_table
    [(name, value)] = change.items()
    for statement, values in (
        (f'UPDATE "{table}" SET "{name}" = %s', [value]),  # noqa: S608
        (f'DELETE FROM "{table}"', []),  # noqa: S608
    ):
        with (
            pytest.raises(DatabaseError, match=r"neither changed nor deleted|stand"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement, values)


def test_no_mark_is_added_to_a_submitted_head(sign_off: SignOff) -> None:
    head = sign_off.assessments.get()
    criterion = head.module_version.criteria.get(code="A2")
    with pytest.raises(DatabaseError), transaction.atomic():
        Mark.objects.create(assessment=head, criterion=criterion, zone="top", level=4)
