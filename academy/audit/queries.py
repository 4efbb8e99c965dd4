"""Reading the record: histories, and whose record there is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Q

from academy.audit.models import Entry
from academy.audit.sentences import PERSON

if TYPE_CHECKING:
    from academy.audit.models import EntryQuerySet


def history_of(subject_type: str, *subject_ids: int, academy_id: int) -> EntryQuerySet:
    """The entries about one row, or about some that belong together, the newest first.

    `sentences.render` makes them readable.
    """
    entries = Entry.objects.for_history(academy_id)
    return entries.filter(subject_type=subject_type, subject_id__in=subject_ids)


def history_of_person(person_id: int, *, academy_id: int) -> EntryQuerySet:
    """What a person did and what was done about them, the newest first."""
    concerned = Q(actor_id=person_id) | Q(about_id=person_id)
    return Entry.objects.for_history(academy_id).filter(
        concerned | Q(subject_type=PERSON, subject_id=person_id)
    )


def chained_academies() -> list[int]:
    """The ids of the academies that have a chain."""
    ids = Entry.objects.order_by("academy_id").values_list("academy_id", flat=True)
    return list(ids.distinct())
