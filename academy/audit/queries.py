"""Reading the record: histories, and whether the chain holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Q

from academy.audit.models import Entry
from academy.audit.sentences import PERSON
from academy.craft.proof.chain import Verified, genesis, verify

if TYPE_CHECKING:
    from academy.audit.models import EntryQuerySet

ROWS_AT_ONCE = 2_000


def history_of(subject_type: str, subject_id: int, *, academy_id: int) -> EntryQuerySet:
    """The entries about one row, the newest first; `sentences.render` makes them readable."""
    entries = Entry.objects.for_history(academy_id)
    return entries.filter(subject_type=subject_type, subject_id=subject_id)


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


def verify_chain(academy_id: int) -> Verified:
    """Follow an academy's whole chain to its first wrong entry, in one query.

    Each entry's displayed columns are compared with its proved bytes too: a changed column
    beside untouched bytes would be a lie that the hashes do not see.
    """
    rows = Entry.objects.for_chain(academy_id).iterator(chunk_size=ROWS_AT_ONCE)
    return verify((entry.link for entry in rows), previous=genesis(academy_id))
