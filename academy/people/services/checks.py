"""What several services check: the web is not the only door."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction

from academy.people import rules
from academy.people.errors import PeopleError
from academy.web.days import written

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.people.models import Academy, Cohort, Person


def check_manager(by: Person, academy: Academy) -> None:
    if not rules.may_manage_people(by, academy):
        raise PeopleError(f"Only a manager of {academy.name} can do this.")


def check_cohort(cohort: Cohort, academy: Academy, *, field: str = "cohort") -> None:
    """A cohort of this academy that goes on."""
    if cohort.academy_id != academy.pk:
        raise PeopleError("That cohort belongs to another academy. Choose again.", field=field)
    if cohort.ended() and cohort.ends_on:
        raise PeopleError(
            f"{cohort.name} ended on {written(cohort.ends_on)}. Choose a cohort that goes on.",
            field=field,
        )


@contextmanager
def refused_twice(message: str, *, field: str | None = None) -> Iterator[None]:
    """Turn the database's no to a second row into a refusal; the transaction around it goes on."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise PeopleError(message, field=field) from error
