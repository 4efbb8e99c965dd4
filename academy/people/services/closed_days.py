"""The days on which the academy is closed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction

from academy.audit.services import record
from academy.people.errors import PeopleError
from academy.people.models import ClosedDay, Role, held_roles_of
from academy.web.days import written

if TYPE_CHECKING:
    from datetime import date

    from academy.people.models import Academy, Person


def close_day(*, academy: Academy, by: Person, day: date, why: str) -> ClosedDay:
    """The academy is closed on this day. Raises `PeopleError` for a day that is there already."""
    _check(by, academy)
    if not why.strip():
        raise PeopleError("Say why, for example: Easter Monday.", field="why")
    try:
        with transaction.atomic():
            row = ClosedDay.objects.create(academy=academy, day=day, why=why.strip())
            _record(row, by, "people.closedday.added")
    except IntegrityError as error:
        raise PeopleError(f"{written(day)} is on the list already.", field="day") from error
    return row


def open_day(*, closed: ClosedDay, by: Person) -> None:
    """The academy is open on this day after all. Appeals that run keep their days."""
    _check(by, closed.academy)
    with transaction.atomic():
        _record(closed, by, "people.closedday.removed")
        closed.delete()


def _check(by: Person, academy: Academy) -> None:
    if Role.MANAGER not in held_roles_of(by, academy):
        raise PeopleError("Only a manager of this academy changes its closed days.")


def _record(row: ClosedDay, by: Person, action: str) -> None:
    record(
        academy_id=row.academy_id,
        actor_id=by.pk,
        action=action,
        subject=row,
        details={"day": row.day.isoformat()},
    )
