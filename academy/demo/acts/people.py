"""People come in by invitation, cohorts begin and end, some leave early."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from academy.demo import story
from academy.demo.stage import Event, Stage
from academy.people.addresses import keep_address
from academy.people.models import Consent, Invitation, Membership, Person, Role
from academy.people.services import (
    accept_invitation,
    end_cohort,
    end_membership,
    give_consent,
    invite,
    make_cohort,
    set_guardian,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.demo.calendar import Calendar

FULL_NAME_SHOWN = ("wren-adeyemi-hall", "gwenda-thirlby")


def events(calendar: Calendar, password_hash: str, first: Invitation) -> Iterator[Event]:
    """`first` is the manager's invitation, made with the academy."""
    rows = story.people()
    cohorts = {row["key"]: row for row in story.read("cohorts")["cohort"]}
    for row in cohorts.values():
        yield Event(calendar.at(row["starts_day"] - 6, 600), partial(_cohort, row=row))
        if "ends_day" in row:
            yield Event(calendar.at(row["ends_day"], 1050), partial(_end, row=row))
    for key, row in rows.items():
        since = row["joined_day"]
        if key == story.MANAGER:
            coming = partial(_accept, row=row, password_hash=password_hash, invitation=first)
            yield Event(calendar.at(since, 545), coming)
            continue
        asked = calendar.at(since, 560) if since <= -480 else calendar.at(since - 4, 640)
        yield Event(asked, partial(_come, row=row, password_hash=password_hash))
        last = row.get("left_day", cohorts.get(row.get("cohort"), {}).get("ends_day"))
        if last is not None:
            yield Event(calendar.at(last, 1040), partial(_leave, key=key, last=last))
    for row in story.read("people")["invited"]:
        yield Event(calendar.at(row["day"], 655), partial(_invite, row=row))
    for key in FULL_NAME_SHOWN:
        yield Event(calendar.at(rows[key]["joined_day"] + 1, 700), partial(_consent, key=key))


def _cohort(stage: Stage, row: dict[str, Any]) -> None:
    stage.cohorts[row["key"]] = make_cohort(
        academy=stage.academy,
        by=stage.people[story.MANAGER],
        name=row["name"],
        starts_on=stage.calendar.date(row["starts_day"]),
        educators=[stage.people[row["educator"]]],
    )


def _end(stage: Stage, row: dict[str, Any]) -> None:
    end_cohort(
        cohort=stage.cohorts[row["key"]],
        by=stage.people[story.MANAGER],
        last_day=stage.calendar.date(row["ends_day"]),
    )


def _invite(stage: Stage, row: dict[str, Any]) -> Invitation:
    return invite(
        academy=stage.academy,
        by=stage.people[story.MANAGER],
        email=row["email"],
        name=row["name"],
        role=row["role"],
        cohort=stage.cohorts[row["cohort"]] if "cohort" in row else None,
    )


def _come(stage: Stage, row: dict[str, Any], password_hash: str) -> None:
    _accept(stage, row, password_hash, _invite(stage, row))


def _accept(stage: Stage, row: dict[str, Any], password_hash: str, invitation: Invitation) -> None:
    """Come in with an account that is there: all share one password, hashed once."""
    person = Person(email=row["email"], name=row["name"], password=password_hash)
    person.save()
    keep_address(person)
    accept_invitation(
        invitation=invitation,
        person=person,
        notice_read=True,
        since=stage.calendar.date(row["joined_day"]),
    )
    stage.people[row["key"]] = person
    if "guardian" in row:
        set_guardian(
            person=person,
            academy=stage.academy,
            by=stage.people[story.MANAGER],
            **row["guardian"],
        )


def _leave(stage: Stage, key: str, last: int) -> None:
    membership = Membership.objects.get(
        academy=stage.academy, person=stage.people[key], role=Role.APPRENTICE
    )
    end_membership(
        membership=membership,
        by=stage.people[story.MANAGER],
        last_day=stage.calendar.date(last),
    )


def _consent(stage: Stage, key: str) -> None:
    give_consent(
        person=stage.people[key],
        academy=stage.academy,
        purpose=Consent.Purpose.NAME_ON_CHECK_PAGE,
    )
