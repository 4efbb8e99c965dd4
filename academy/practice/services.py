"""Logging practice, and the supervisor's word on it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.models import ModuleVersion
from academy.practice import rules
from academy.practice.models import (
    PracticeSession,
    SessionConfirmation,
    StrandCheck,
    UnitsDone,
)
from academy.web.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.people.models import Academy, Person
    from academy.practice.targets import Done

OLDEST_DAYS = 365


class PracticeError(Refused):
    """Why a practice session was not logged, confirmed or taken back."""


@dataclass(frozen=True)
class Check:
    """A strand check as it is logged; `minute` counts from the end of application."""

    zone: str
    minute: int
    wiped: bool
    last_place: bool
    seen: str
    decision: str
    stretches_back: bool | None = None
    skin_calm: bool | None = None
    note: str = ""


@dataclass(frozen=True)
class Sitting:
    """What an apprentice says about one sitting on a block."""

    started_at: datetime
    minutes: int
    units: Sequence[Done]
    zones: Sequence[str] = ()
    criteria: Sequence[str] = ()
    went_well: str = ""
    to_change: str = ""
    checks: Sequence[Check] = ()


def log_session(
    *,
    academy: Academy,
    apprentice: Person,
    version: ModuleVersion,
    sitting: Sitting,
    client_key: str,
    supervisor: Person | None = None,
) -> PracticeSession:
    """Log one sitting. The same `client_key` sent again gives the row that is there already.

    Raises `PracticeError` with the field at fault.
    """
    before = PracticeSession.objects.filter(apprentice=apprentice, client_key=client_key).first()
    if before is not None:
        return before
    _check_people(academy, apprentice, supervisor)
    _check_version(academy, version)
    _check_sitting(version, sitting, timezone.now())
    try:
        with transaction.atomic():
            session = PracticeSession.objects.create(
                academy=academy,
                apprentice=apprentice,
                module_version=version,
                client_key=client_key,
                started_at=sitting.started_at,
                minutes=sitting.minutes,
                zones=list(sitting.zones),
                criteria=list(sitting.criteria),
                went_well=sitting.went_well,
                to_change=sitting.to_change,
                supervisor=supervisor,
            )
            UnitsDone.objects.bulk_create(
                UnitsDone(session=session, unit=done.unit.value, count=done.count, tag=done.tag)
                for done in sitting.units
            )
            StrandCheck.objects.bulk_create(
                StrandCheck(session=session, **asdict(check)) for check in sitting.checks
            )
            record(
                academy_id=academy.pk,
                actor_id=apprentice.pk,
                action="practice.session.logged",
                subject=session,
                details={
                    "apprentice": apprentice.pk,
                    "version": version.pk,
                    "supervisor": supervisor.pk if supervisor else None,
                    "minutes": sitting.minutes,
                    "checks": len(sitting.checks),
                    "units": [f"{d.unit.value}:{d.count}:{d.tag}" for d in sitting.units],
                },
            )
    except IntegrityError:
        # The same page sent twice at the same moment: the other one won.
        session = PracticeSession.objects.get(apprentice=apprentice, client_key=client_key)
    return session


def confirm_session(
    *, session: PracticeSession, supervisor: Person, confirmed: bool, note: str = ""
) -> SessionConfirmation:
    """The supervisor says that the session took place, or that it did not (then with a note)."""
    if not rules.may_confirm(supervisor, session):
        raise PracticeError("Only the supervisor named on a session can confirm it, and only once.")
    if not confirmed and not note.strip():
        raise PracticeError(
            "Say what was different, for example: not in the room that afternoon.", field="note"
        )
    with transaction.atomic():
        confirmation = SessionConfirmation.objects.create(
            session=session, supervisor=supervisor, confirmed=confirmed, note=note.strip()
        )
        record(
            academy_id=session.academy_id,
            actor_id=supervisor.pk,
            action="practice.session.confirmed" if confirmed else "practice.session.not_confirmed",
            subject=session,
            details={"apprentice": session.apprentice_id},
        )
    return confirmation


def take_back_session(*, session: PracticeSession, apprentice: Person) -> PracticeSession:
    """The apprentice takes a session back within a day; it stays readable and no longer counts."""
    now = timezone.now()
    if not rules.may_take_back(apprentice, session, now):
        raise PracticeError(
            "A session can be taken back by its apprentice within 24 hours, until the supervisor "
            "has answered. Ask your educator to help with an older one."
        )
    with transaction.atomic():
        session.taken_back_at = now
        session.save(update_fields=["taken_back_at"])
        record(
            academy_id=session.academy_id,
            actor_id=apprentice.pk,
            action="practice.session.taken_back",
            subject=session,
            details={"apprentice": session.apprentice_id},
        )
    return session


def _check_people(academy: Academy, apprentice: Person, supervisor: Person | None) -> None:
    if not rules.may_log(apprentice, academy):
        raise PracticeError("Only an apprentice of this academy keeps a practice log here.")
    if supervisor is None:
        return
    if supervisor == apprentice:
        raise PracticeError(
            "You cannot confirm your own practice. Choose who stood beside you.",
            field="supervisor",
        )
    if not rules.may_supervise(supervisor, academy):
        raise PracticeError(
            "A supervisor is an educator or assessor of this academy.", field="supervisor"
        )


def _check_version(academy: Academy, version: ModuleVersion) -> None:
    if version.academy_id != academy.pk or version.state == ModuleVersion.State.DRAFT:
        raise PracticeError("Choose one of your academy's modules.", field="module")


def _check_sitting(version: ModuleVersion, sitting: Sitting, now: datetime) -> None:
    if sitting.started_at > now + timedelta(minutes=5):
        raise PracticeError(
            "This session starts in the future. Log it once you have done it.", field="started_at"
        )
    if sitting.started_at < now - timedelta(days=OLDEST_DAYS):
        raise PracticeError(
            "This session is more than a year old. Evidence that old does not count.",
            field="started_at",
        )
    if not 1 <= sitting.minutes <= 720:
        raise PracticeError(
            "Give the minutes as a whole number from 1 to 720, for example 50.", field="minutes"
        )
    _check_units(version, sitting.units)
    codes = {criterion.code for criterion in version.criteria.all()}
    if not set(sitting.criteria) <= codes:
        raise PracticeError("Choose from the criteria of this module.", field="criteria")


def _check_units(version: ModuleVersion, units: Sequence[Done]) -> None:
    if not units:
        raise PracticeError("Say how much you did, for example 1 head.", field="units")
    known = {(line.unit, line.tag) for line in version.targets.all()}
    known |= {(unit, "") for unit, _ in known}
    for done in units:
        if known and (done.unit.value, done.tag) not in known:
            raise PracticeError("This module does not count that.", field="units")
        if not 1 <= done.count <= 500:
            raise PracticeError("Count between 1 and 500, for example 6.", field="units")
