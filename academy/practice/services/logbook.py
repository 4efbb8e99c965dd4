"""Logging a sitting."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.house import label_of, rules_today
from academy.curriculum.models import ModuleVersion
from academy.practice import queries, rules
from academy.practice.errors import PracticeError
from academy.practice.models import PracticeSession, StrandCheck, UnitsDone
from academy.practice.sitting import check_checks, check_sitting
from academy.practice.timing import PROCESSES, longest, timing_of

if TYPE_CHECKING:
    from academy.curriculum.models import ProductLabel
    from academy.people.models import Academy, Person
    from academy.practice.sitting import Sitting
    from academy.practice.timing import Timing

_NO_CODE = re.compile(r"[^!-?A-~]+")


def log_session(
    *,
    academy: Academy,
    apprentice: Person,
    version: ModuleVersion,
    sitting: Sitting,
    client_key: str,
    supervisor: Person | None = None,
    label: ProductLabel | None = None,
) -> PracticeSession:
    """Log one sitting. The same `client_key` sent again gives the row that is there already.

    Strand checks keep the ceiling of `sitting.process` under today's rules and the product
    `label`; where no process is named, the latest ceiling of any. Raises `PracticeError` with
    the field at fault.
    """
    before = _sent_before(apprentice, client_key)
    if before is not None:
        return before
    _check_people(academy, apprentice, supervisor)
    _check_version(academy, apprentice, version)
    check_sitting(version, sitting, timezone.now())
    timing = _timing(academy, sitting, label)
    if timing is not None:
        check_checks(sitting.checks, timing)
    try:
        with transaction.atomic():
            session = _make(academy, apprentice, version, sitting, client_key, supervisor, timing)
            _record(session, sitting)
    except IntegrityError:
        # The same page sent twice at the same moment: the other one won.
        twin = _sent_before(apprentice, client_key)
        if twin is None:
            raise
        return twin
    return session


def _sent_before(apprentice: Person, client_key: str) -> PracticeSession | None:
    return PracticeSession.objects.filter(apprentice=apprentice, client_key=client_key).first()


def _make(
    academy: Academy,
    apprentice: Person,
    version: ModuleVersion,
    sitting: Sitting,
    client_key: str,
    supervisor: Person | None,
    timing: Timing | None,
) -> PracticeSession:
    session = PracticeSession.objects.create(
        academy=academy,
        apprentice=apprentice,
        module_version=version,
        client_key=client_key,
        started_at=sitting.started_at,
        minutes=sitting.minutes,
        zones=list(sitting.zones),
        criteria=list(sitting.criteria),
        timing=timing.kept if timing and sitting.process else {},
        went_well=sitting.went_well.strip(),
        to_change=sitting.to_change.strip(),
        supervisor=supervisor,
    )
    UnitsDone.objects.bulk_create(
        UnitsDone(session=session, unit=done.unit.value, count=done.count, tag=done.tag)
        for done in sitting.units
    )
    StrandCheck.objects.bulk_create(
        StrandCheck(session=session, **asdict(check)) for check in sitting.checks
    )
    return session


def _record(session: PracticeSession, sitting: Sitting) -> None:
    record(
        academy_id=session.academy_id,
        actor_id=session.apprentice_id,
        action="practice.session.logged",
        subject=session,
        details={
            "apprentice": session.apprentice_id,
            "version": session.module_version_id,
            "supervisor": session.supervisor_id,
            "minutes": sitting.minutes,
            "checks": len(sitting.checks),
            "past_ceiling": sum(bool(check.past_ceiling) for check in sitting.checks),
            "units": [_unit_code(d.unit.value, d.count, d.tag) for d in sitting.units],
        },
    )


def _unit_code(unit: str, count: int, tag: str) -> str:
    """A code as the record wants it, without spaces or letters beyond ASCII: "heads:3:fine"."""
    return f"{unit}:{count}:{_NO_CODE.sub('-', tag)}"


def _timing(academy: Academy, sitting: Sitting, label: ProductLabel | None) -> Timing | None:
    """What the strand checks are held to; None without a strand check."""
    if not sitting.checks:
        return None
    if label is not None and label.academy_id != academy.pk:
        raise PracticeError("Choose one of your academy's labels.", field="label")
    rules_now = rules_today(academy, label=label_of(label) if label else None)
    if not sitting.process:
        return longest(rules_now)
    if sitting.process not in PROCESSES:
        raise PracticeError("This is not on the list. Choose again.", field="process")
    return timing_of(rules_now, sitting.process)


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


def _check_version(academy: Academy, apprentice: Person, version: ModuleVersion) -> None:
    if version.academy_id != academy.pk or version.state == ModuleVersion.State.DRAFT:
        raise PracticeError("Choose one of your academy's modules.", field="module")
    retired = version.state == ModuleVersion.State.RETIRED
    if retired and not queries.has_begun(apprentice, version):
        raise PracticeError(
            "This edition of the module is retired. Begin with the published one.", field="module"
        )
