"""One touch of a draft: allowed, held, counted. Whoever comes too late is told."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.mark_text import as_compared
from academy.assessment.models import Assessment
from academy.assessment.standing import standing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.people.models import Person

STANDS = "This assessment is submitted and stands. Write a correction."
# A device sends again what got no answer, one touch at a time; what it sent before is among these.
KEYS_KEPT = 60


@dataclass(frozen=True)
class Sent:
    """A touch that may have waited on a device.

    `key` names the touch, `place` is where it was made (`academy.assessment.standing`), `value`
    what is to stand there, and `was` what the page knew to stand there when it was made.
    """

    key: str
    place: str
    value: str
    was: str


class AlreadyKeptError(AssessmentError):
    """The touch was kept before, or what it wants stands there already."""


class StaleError(AssessmentError):
    """Something else stands there than the device knew; `stands` says what."""

    def __init__(self, stands: str) -> None:
        super().__init__("Something else was kept here meanwhile.")
        self.stands = stands


def check_open(assessment: Assessment, by: Person) -> None:
    """Raise `AssessmentError` unless this person may mark in it, as far as was read."""
    if assessment.state == Assessment.State.SUBMITTED:
        raise AssessmentError(STANDS)
    if not rules.may_score(by, assessment):
        raise AssessmentError("Only the assessor who began this draft can mark in it.")


@contextmanager
def touching(
    assessment: Assessment, by: Person, sent: Sent | None = None, **fields: Any
) -> Iterator[None]:
    """The transaction of one touch. The row is held first, so nobody submits in between.

    `fields` of the assessment itself are written with it. Where somebody touched the draft since
    it was read, it is read again, so that what follows decides on what stands. The count of
    touches tells a page that was left open whether it still shows what stands.

    A touch that was `sent` is kept once, and only over what the device knew. Otherwise it changes
    nothing: raises `AlreadyKeptError` or `StaleError`.
    """
    check_open(assessment, by)
    _check_key(assessment, sent)
    fields["changed_at"] = timezone.now()
    counted, before = 0, dict[str, Any]()
    try:
        with transaction.atomic():
            # The condition asks what the frozen manager would ask, in the same statement.
            held = Assessment._base_manager.filter(pk=assessment.pk, state=Assessment.State.DRAFT)
            as_read = held.filter(revision=assessment.revision)
            written = fields | _keys(assessment, sent)
            if as_read.update(revision=assessment.revision + 1, **written):
                _check_stands(assessment, sent)
                assessment.revision += 1
                counted = 1
            elif held.update(revision=F("revision") + 1):
                assessment.refresh_from_db()
                counted = 1
                _check_key(assessment, sent)
                _check_stands(assessment, sent)
                written = fields | _keys(assessment, sent)
                held.update(**written)
            else:
                gone = not Assessment.objects.filter(pk=assessment.pk).exists()
                raise AssessmentError("This draft was discarded meanwhile." if gone else STANDS)
            before = {name: getattr(assessment, name) for name in written}
            for name, value in written.items():
                setattr(assessment, name, value)
            yield
    except BaseException:
        # Nothing was written, so the row in hand is as it was.
        assessment.revision -= counted
        for name, value in before.items():
            setattr(assessment, name, value)
        raise


def _keys(assessment: Assessment, sent: Sent | None) -> dict[str, list[str]]:
    if sent is None:
        return {}
    return {"touch_keys": [*(assessment.touch_keys or []), sent.key][-KEYS_KEPT:]}


def _check_key(assessment: Assessment, sent: Sent | None) -> None:
    if sent is not None and sent.key in (assessment.touch_keys or []):
        raise AlreadyKeptError("This was kept before.")


def _check_stands(assessment: Assessment, sent: Sent | None) -> None:
    if sent is None:
        return
    stands = standing(assessment, sent.place)
    now, value, was = (as_compared(sent.place, text) for text in (stands, sent.value, sent.was))
    if now == value:
        raise AlreadyKeptError("This stands there already.")
    if now != was:
        raise StaleError(stands)
