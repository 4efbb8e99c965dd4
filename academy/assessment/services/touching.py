"""One touch of a draft: allowed, held, counted. Whoever comes too late is told."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.people.models import Person

STANDS = "This assessment is submitted and stands. Write a correction."


def check_open(assessment: Assessment, by: Person) -> None:
    """Raise `AssessmentError` unless this person may mark in it, as far as was read."""
    if assessment.state == Assessment.State.SUBMITTED:
        raise AssessmentError(STANDS)
    if not rules.may_score(by, assessment):
        raise AssessmentError("Only the assessor who began this draft can mark in it.")


@contextmanager
def touching(assessment: Assessment, by: Person, **fields: Any) -> Iterator[None]:
    """The transaction of one touch. The row is held first, so nobody submits in between.

    `fields` of the assessment itself are written with it. Where somebody touched the draft since
    it was read, it is read again, so that what follows decides on what stands. The count of
    touches tells a page that was left open whether it still shows what stands.
    """
    check_open(assessment, by)
    fields["changed_at"] = timezone.now()
    with transaction.atomic():
        # The condition asks what the frozen manager would ask, in the same statement.
        held = Assessment._base_manager.filter(pk=assessment.pk, state=Assessment.State.DRAFT)
        as_read = held.filter(revision=assessment.revision)
        if as_read.update(revision=assessment.revision + 1, **fields):
            assessment.revision += 1
            for name, value in fields.items():
                setattr(assessment, name, value)
        elif held.update(revision=F("revision") + 1, **fields):
            assessment.refresh_from_db()
        else:
            gone = not Assessment.objects.filter(pk=assessment.pk).exists()
            raise AssessmentError("This draft was discarded meanwhile." if gone else STANDS)
        yield
