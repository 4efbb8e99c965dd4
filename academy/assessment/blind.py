"""What somebody must not read of a head on which a second mark or a ruling is still open.

Whoever assesses may be asked to mark it blind, so that nothing of the first mark may reach them,
in a page, a list, an export or the record. The apprentice reads that somebody looks, neither who
nor what the first mark came to, whatever other roles they hold. What was withdrawn of the same
head tells as much as its first mark.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Q

from academy.assessment.models import Appeal, Assessment
from academy.audit.models import Entry
from academy.people.models import Academy, Person, Role, held_roles_of

if TYPE_CHECKING:
    from academy.audit.models import EntryQuerySet

_HEAD, _BOOKING = "assessment.assessment", "assessment.booking"
# What tells that, when and by whom a second mark was asked for, given and ruled on.
_LOOKS = (
    "assessment.second.",
    "assessment.assessment.second_",
    "assessment.ruling.",
)


def heads_kept_from(person: Person, academy: Academy) -> set[int]:
    """The first marks that this person must not read; often none.

    Their own while they are undecided, and those that they may have to mark blind.
    """
    return _withheld(person, academy) | set(_kept_blind(person, academy))


def _withheld(person: Person, academy: Academy) -> set[int]:
    own = Assessment.objects.filter(academy=academy, apprentice=person).withheld()
    return set(own.order_by().values_list("pk", flat=True))


def _kept_blind(person: Person, academy: Academy) -> dict[int, int | None]:
    """What they may have to mark blind, each with its booking."""
    if Role.ASSESSOR not in held_roles_of(person, academy):
        return {}
    kept = Assessment.objects.filter(academy=academy).kept_blind()
    kept = kept.exclude(assessor=person).exclude(apprentice=person).order_by()
    return dict(kept.values_list("pk", "booking"))


def withheld(assessment: Assessment, reader: Person) -> bool:
    """Whether its apprentice reads it and may not see yet what was marked.

    No query but for a withdrawn one; fetch it by `for_result`.
    """
    if assessment.apprentice_id != reader.pk:
        return False
    if assessment.withdrawn:
        return Assessment.objects.filter(pk=assessment.pk).withheld().exists()
    return assessment.shown == "second"


def entries_readable(entries: EntryQuerySet, person: Person, academy: Academy) -> EntryQuerySet:
    """The entries without what tells of a mark this person must not read, or of who looked."""
    blind = _kept_blind(person, academy)
    kept = _withheld(person, academy) | set(blind)
    bookings = [booking for booking in blind.values() if booking is not None]
    hidden = Q(subject_type=_HEAD, subject_id__in=list(kept))
    hidden |= Q(subject_type=_BOOKING, subject_id__in=bookings)
    if blind:
        # That a head is appealed against tells what its first mark came to.
        appeals = Appeal.objects.filter(assessment__in=list(blind)).values_list("pk", flat=True)
        hidden |= Q(subject_type="assessment.appeal", subject_id__in=list(appeals))
    # Who looked at their own heads, also where that draft was discarded.
    looks = Q(about_id=person.pk, action__startswith=_LOOKS[0])
    for start in _LOOKS[1:]:
        looks |= Q(about_id=person.pk, action__startswith=start)
    begun = Entry.objects.for_chain(academy.pk).filter(
        about_id=person.pk, action="assessment.assessment.second_started"
    )
    seconds = list(begun.values_list("subject_id", flat=True))
    return entries.exclude(hidden | looks | Q(subject_type=_HEAD, subject_id__in=seconds))


def narrow(entries: EntryQuerySet, reader_id: int, academy_id: int) -> EntryQuerySet:
    """What `academy.audit.reading` asks before a history is shown."""
    person = Person.objects.get(pk=reader_id)
    return entries_readable(entries, person, Academy.objects.get(pk=academy_id))
