"""Verifications that a worker does in steps, and what the night does for the record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from academy.audit import comparing
from academy.audit.affected import in_doubt, rows_in_doubt
from academy.audit.checkpoints import after
from academy.audit.errors import AuditError
from academy.audit.models import Checkpoint, RecordCheck
from academy.audit.models.checkpoints import hashes, joined
from academy.audit.places import Place, beginning
from academy.audit.verifying import length_of, verify_stretch
from academy.craft.proof.chain import Break, Fault
from academy.craft.proof.merkle import Edge
from academy.web.models import JobState
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from datetime import datetime

    from academy.audit.comparing import Unlike

STEP: Final = 256_000
"""Entries in one step: about a second on SQLite, a few on PostgreSQL."""

_OPEN = (JobState.WAITING, JobState.RUNNING)


def start_check(*, academy_id: int, asked_by_id: int | None, whole: bool) -> RecordCheck:
    """Let a worker verify the whole record, or what is new since the newest checkpoint.

    Asked again while one of the same kind is under way, it gives that one.
    """
    with transaction.atomic():
        going = RecordCheck.objects.filter(
            academy_id=academy_id, whole=whole, ended_at=None, job__state__in=_OPEN
        ).first()
        if going is not None:
            return going
        check = RecordCheck.objects.create(
            academy_id=academy_id, asked_by_id=asked_by_id, whole=whole
        )
        _begin(check)
        job = enqueue("academy.audit.tasks.check_step", check.pk, 0)
        RecordCheck.objects.filter(pk=check.pk).update(job=job)
    check.refresh_from_db()
    return check


def check_step(check_id: int, done: int) -> None:
    """Verify the next entries of a check, and ask for the step after that."""
    check = RecordCheck.objects.get(pk=check_id)
    if check.ended_at or check.done != done:
        return
    until = min(check.first - 1 + done + STEP, check.last)
    found = verify_stretch(check.academy_id, _place(check), until)
    if found.broken:
        _end(check, found.broken)
        return
    _note(check, found.place)
    check.done = until - check.first + 1
    if until >= check.last and check.whole:
        unlike = comparing.unlike(check.academy_id)
        if unlike:
            _end_unlike(check, unlike)
            return
    with transaction.atomic():
        if until >= check.last:
            check.ended_at = timezone.now()
        check.save()
        if not check.ended_at:
            key = f"audit.check {check.pk} {check.done}"
            job = enqueue("academy.audit.tasks.check_step", check.pk, check.done, key=key)
            RecordCheck.objects.filter(pk=check.pk).update(job=job)


def newest_check(academy_id: int) -> RecordCheck | None:
    return RecordCheck.objects.filter(academy_id=academy_id).select_related("job").first()


def last_held(academy_id: int) -> datetime | None:
    """When the whole record was last found to hold."""
    held = RecordCheck.objects.filter(academy_id=academy_id, whole=True, broken_at=None)
    return held.exclude(ended_at=None).values_list("ended_at", flat=True).first()


def found_broken(academy_id: int) -> RecordCheck | None:
    """The check that found a fault, as long as no later one of the whole record held."""
    ended = RecordCheck.objects.filter(academy_id=academy_id).exclude(ended_at=None)
    decisive = ended.filter(Q(whole=True) | Q(broken_at__isnull=False)).first()
    return decisive if decisive is not None and not decisive.held else None


def _begin(check: RecordCheck) -> None:
    check.last = length_of(check.academy_id)
    newest = None if check.whole else Checkpoint.objects.newest(check.academy_id)
    if newest is None:
        _note(check, beginning(check.academy_id, tree=True))
        check.save()
        return
    check.first = newest.size + 1
    check.last = max(check.last, newest.size)
    try:
        _note(check, after(newest))
    except AuditError as trouble:
        _end(check, Break(newest.size, Fault.CHECKPOINT, trouble.message))
    else:
        check.save()


def _place(check: RecordCheck) -> Place:
    sequence = check.first - 1 + check.done
    # What is new since the newest checkpoint is compared with no root.
    edge = Edge(sequence, tuple(hashes(bytes(check.peaks)))) if check.whole else None
    return Place(sequence, bytes(check.head), edge, tuple(hashes(bytes(check.chunks))))


def _note(check: RecordCheck, place: Place) -> None:
    check.head, check.chunks = place.head, joined(place.chunks)
    check.peaks = joined(place.edge.peaks) if place.edge else b""


def _end_unlike(check: RecordCheck, rows: list[Unlike]) -> None:
    """The chain holds, and rows that it tells of are not as they were recorded."""
    check.affected = dict(rows_in_doubt(rows, last=check.last))
    check.broken_at, check.sentence = check.affected["first"], rows[0].sentence[:300]
    check.ended_at = timezone.now()
    check.save()


def _end(check: RecordCheck, broken: Break) -> None:
    check.done = max(0, broken.sequence - check.first)
    check.broken_at, check.sentence = broken.sequence, broken.sentence[:300]
    check.affected = dict(in_doubt(check.academy_id, broken))
    check.ended_at = timezone.now()
    check.save()
