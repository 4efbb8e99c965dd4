"""Cohorts, and places in them."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.people import rules
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, CohortPlace, Person
from academy.people.services.checks import check_cohort, check_manager, refused_twice
from academy.web.days import written

if TYPE_CHECKING:
    from collections.abc import Iterable

_LONGEST_NAME = 80


@transaction.atomic
def make_cohort(
    *, academy: Academy, by: Person, name: str, starts_on: date, educators: Iterable[Person] = ()
) -> Cohort:
    """A new cohort with those who teach it."""
    check_manager(by, academy)
    cohort = Cohort(academy=academy, name=_read_name(name), starts_on=starts_on)
    teachers = _teachers(educators, academy)
    with refused_twice(_taken(cohort.name), field="name"):
        cohort.save()
    cohort.educators.set(teachers)
    record(
        academy_id=academy.pk,
        actor_id=by.pk,
        action="people.cohort.made",
        subject=cohort,
        details=_details(cohort, teachers),
    )
    return cohort


@transaction.atomic
def change_cohort(
    *, cohort: Cohort, by: Person, name: str, starts_on: date, educators: Iterable[Person]
) -> Cohort:
    """Another name, first day or other educators; a cohort that ended stays as it was."""
    check_manager(by, cohort.academy)
    cohort = _going_on(cohort)
    if cohort.ends_on and starts_on > cohort.ends_on:
        raise PeopleError(
            f"The cohort ends on {written(cohort.ends_on)}. Choose a first day before that.",
            field="starts_on",
        )
    teachers = _teachers(educators, cohort.academy)
    cohort.name, cohort.starts_on = _read_name(name), starts_on
    with refused_twice(_taken(cohort.name), field="name"):
        cohort.save(update_fields=["name", "starts_on"])
    cohort.educators.set(teachers)
    record(
        academy_id=cohort.academy_id,
        actor_id=by.pk,
        action="people.cohort.changed",
        subject=cohort,
        details=_details(cohort, teachers),
    )
    return cohort


@transaction.atomic
def end_cohort(*, cohort: Cohort, by: Person, last_day: date) -> Cohort:
    """End a cohort and every place in it with that day. Roles stay as they are."""
    check_manager(by, cohort.academy)
    cohort = _going_on(cohort)
    if last_day < cohort.starts_on:
        raise PeopleError(
            f"{cohort.name} began on {written(cohort.starts_on)}. Choose that day or a later one.",
            field="last_day",
        )
    places = CohortPlace.objects.open(last_day).filter(cohort=cohort)
    late = places.filter(since__gt=last_day).select_related("person").first()
    if late:
        raise PeopleError(
            f"{late.person.name} has a place from {written(late.since)}. Choose that day or later.",
            field="last_day",
        )
    ended = places.update(until=last_day)
    cohort.ends_on = last_day
    cohort.save(update_fields=["ends_on"])
    record(
        academy_id=cohort.academy_id,
        actor_id=by.pk,
        action="people.cohort.ended",
        subject=cohort,
        details={"last_day": last_day.isoformat(), "places": ended},
    )
    return cohort


@transaction.atomic
def place_in_cohort(
    *, person: Person, cohort: Cohort, by: Person, since: date | None = None
) -> CohortPlace:
    """Give an apprentice without a place one; somebody who has one is moved instead."""
    check_manager(by, cohort.academy)
    day = since or timezone.localdate()
    _check_place(person, cohort, day)
    held = _place_of(person, cohort.academy, day)
    if held:
        raise PeopleError(
            f"{person.name} has a place in {held.cohort.name}. Move them instead.", field="person"
        )
    place = _keep_place(person, cohort, day)
    record(
        academy_id=cohort.academy_id,
        actor_id=by.pk,
        action="people.place.given",
        subject=cohort,
        details={"person": person.pk, "since": day.isoformat()},
    )
    return place


@transaction.atomic
def move_to_cohort(
    *, person: Person, cohort: Cohort, by: Person, on: date | None = None
) -> CohortPlace:
    """Begin a place in another cohort on that day; the old one ends the day before."""
    check_manager(by, cohort.academy)
    day = on or timezone.localdate()
    _check_place(person, cohort, day)
    held = _place_of(person, cohort.academy, day)
    if held is None:
        raise PeopleError(f"{person.name} has no place yet. Give them one.", field="cohort")
    if held.cohort_id == cohort.pk:
        raise PeopleError(f"{person.name} is in {cohort.name} already.", field="cohort")
    _leave(held, day)
    place = _keep_place(person, cohort, day)
    record(
        academy_id=cohort.academy_id,
        actor_id=by.pk,
        action="people.place.moved",
        subject=cohort,
        details={"person": person.pk, "origin": held.cohort_id, "since": day.isoformat()},
    )
    return place


def _leave(place: CohortPlace, day: date) -> None:
    """End a place the day before; one that had not begun by then was a slip and goes."""
    if place.since >= day:
        place.delete()
        return
    place.until = day - timedelta(days=1)
    place.save(update_fields=["until"])


def _keep_place(person: Person, cohort: Cohort, day: date) -> CohortPlace:
    place = CohortPlace(cohort=cohort, person=person, since=day)
    with refused_twice(f"{person.name} is in {cohort.name} already.", field="person"):
        place.save()
    return place


def _check_place(person: Person, cohort: Cohort, day: date) -> None:
    check_cohort(cohort, cohort.academy)
    # Whoever else places this person now waits here, so that nobody gets two places.
    Person.objects.select_for_update().get(pk=person.pk)
    if not rules.may_learn_in(person, cohort):
        raise PeopleError(
            f"{person.name} is no apprentice here. Give them the role first.", field="person"
        )
    if day < cohort.starts_on or (cohort.ends_on and day > cohort.ends_on):
        raise PeopleError(
            f"{cohort.name} runs from {written(cohort.starts_on)}"
            f"{f' to {written(cohort.ends_on)}' if cohort.ends_on else ''}. Choose a day in it.",
            field="since",
        )


def _place_of(person: Person, academy: Academy, day: date) -> CohortPlace | None:
    places = CohortPlace.objects.open(day).filter(person=person, cohort__academy=academy)
    return places.select_related("cohort").order_by("since").first()


def _going_on(cohort: Cohort) -> Cohort:
    """The row as it stands now, held until the end of the transaction."""
    row = Cohort.objects.select_for_update().get(pk=cohort.pk)
    if row.ended() and row.ends_on:
        raise PeopleError(f"{row.name} ended on {written(row.ends_on)} and stays as it was.")
    return row


def _read_name(text: str) -> str:
    name = rules.read_name(text)
    if len(name) > _LONGEST_NAME:
        raise PeopleError(f"At most {_LONGEST_NAME} characters fit. Shorten it.", field="name")
    return name


def _taken(name: str) -> str:
    return f"There is a cohort {name} here already. Give this one another name."


def _teachers(educators: Iterable[Person], academy: Academy) -> list[Person]:
    teachers = list(educators)
    for person in teachers:
        if not rules.may_teach(person, academy):
            raise PeopleError(f"{person.name} is no educator here.", field="educators")
    return teachers


def _details(cohort: Cohort, teachers: list[Person]) -> dict[str, object]:
    return {
        "starts_on": cohort.starts_on.isoformat(),
        "educators": sorted(person.pk for person in teachers),
    }
