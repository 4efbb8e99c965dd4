"""Marking one head: every touch is kept in the draft at once. A draft's touches are not recorded;
starting, discarding and submitting are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.editions import edition_of, scope_of
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, FeedbackDraft, Mark, StopEvent, ZoneLeftOut
from academy.assessment.services.booking import check_may_be_assessed
from academy.assessment.services.head_sample import draw_head
from academy.assessment.services.reassessing import check_again, keep_scope
from academy.assessment.services.touching import Sent, check_open, touching
from academy.audit.services import record
from academy.curriculum.content import Scope
from academy.curriculum.house import current_rule_set
from academy.curriculum.reference import stop_events

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.boxes import Boxes
    from academy.assessment.models import AssessmentQuerySet, Booking
    from academy.curriculum.models import Criterion, ModuleVersion
    from academy.people.models import Academy, Person

MOST_MINUTES = 720
MOST_IN_NOTE = 2000


def start_assessment(
    *,
    academy: Academy,
    assessor: Person,
    apprentice: Person,
    version: ModuleVersion,
    booking: Booking | None = None,
    chosen: Sequence[str] = (),
) -> Assessment:
    """Open a draft, or give the assessor the draft they have already.

    `chosen` are the codes a partial re-assessment judges besides those that were missed.
    Raises `AssessmentError` for oneself, for unmet needs, for a version the apprentice is not
    on, and where a colleague is marking the same head.
    """
    if assessor == apprentice:
        raise AssessmentError("Nobody assesses themselves.")
    if not rules.may_assess(assessor, academy, apprentice):
        raise AssessmentError("Only an assessor of this academy can do this.")
    if not rules.may_be_assessed(apprentice, academy):
        raise AssessmentError("This person is not an apprentice of your academy.")
    own = _drafts(apprentice, version).filter(assessor=assessor).first()
    if own is not None:
        return own
    check_may_be_assessed(academy, apprentice, version)
    _check_nobody_marks(apprentice, version)
    after = check_again(
        academy=academy, assessor=assessor, apprentice=apprentice, version=version, chosen=chosen
    )
    try:
        with transaction.atomic():
            assessment = Assessment.objects.create(
                academy=academy,
                apprentice=apprentice,
                assessor=assessor,
                module_version=version,
                rule_set=current_rule_set(academy),
                booking=booking,
            )
            draw_head(assessment)
            if after is not None:
                keep_scope(assessment, after, chosen)
            _record(assessment, "assessment.assessment.started")
    except IntegrityError:
        # Somebody began this head between the question and the answer: the assessor or another.
        own = _drafts(apprentice, version).filter(assessor=assessor).first()
        if own is None:
            _check_nobody_marks(apprentice, version)
            raise
        return own
    return assessment


def discard_draft(*, assessment: Assessment, by: Person) -> None:
    """Throw a draft away. A submitted assessment stands."""
    check_open(assessment, by)
    with transaction.atomic():
        subject = ("assessment.assessment", assessment.pk)
        details = {"apprentice": assessment.apprentice_id, "version": assessment.module_version_id}
        assessment.delete()
        record(
            academy_id=assessment.academy_id,
            actor_id=by.pk,
            action="assessment.assessment.discarded",
            subject=subject,
            details=details,
        )


def set_level(
    *,
    assessment: Assessment,
    by: Person,
    criterion: Criterion,
    zone: str,
    level: int,
    sent: Sent | None = None,
) -> None:
    """One level in one place; the zone is empty for a criterion of the whole head."""
    with touching(assessment, by, sent):
        if level not in range(5):
            raise AssessmentError("Levels go from 0 to 4.")
        _check_place(assessment, criterion, zone)
        # The draft is held by `touching`, so the question whether it is frozen is answered.
        Mark._base_manager.bulk_create(
            [Mark(assessment=assessment, criterion=criterion, zone=zone, level=level)],
            update_conflicts=True,
            unique_fields=["assessment", "criterion", "zone"],
            update_fields=["level", "at"],
        )


def clear_level(
    *,
    assessment: Assessment,
    by: Person,
    criterion: Criterion,
    zone: str,
    sent: Sent | None = None,
) -> None:
    """Take a level back that was given by mistake."""
    with touching(assessment, by, sent):
        Mark.objects.filter(assessment=assessment, criterion=criterion, zone=zone).delete()


def leave_zone_out(
    *, assessment: Assessment, by: Person, zone: str, reason: str, sent: Sent | None = None
) -> None:
    """A judged zone that was not covered today; its levels are taken away."""
    with touching(assessment, by, sent):
        if zone not in edition_of(assessment.module_version).zones:
            raise AssessmentError("This zone is not judged in this module.")
        if not reason.strip():
            raise AssessmentError("Say why, for example: hair too short there.", field="reason")
        Mark.objects.filter(assessment=assessment, zone=zone).delete()
        ZoneLeftOut.objects.update_or_create(
            assessment=assessment, zone=zone, defaults={"reason": reason.strip()}
        )
    assessment.refresh_from_db()


def take_zone_in(
    *, assessment: Assessment, by: Person, zone: str, sent: Sent | None = None
) -> None:
    """The zone is judged today after all."""
    with touching(assessment, by, sent):
        ZoneLeftOut.objects.filter(assessment=assessment, zone=zone).delete()
    assessment.refresh_from_db()


def set_overall(
    *, assessment: Assessment, by: Person, rating: int, sent: Sent | None = None
) -> None:
    """The overall rating, before any sum is shown."""
    if rating not in range(1, 6):
        raise AssessmentError("The overall rating goes from 1 to 5.")
    with touching(assessment, by, sent, overall=rating):
        pass


def set_notes(*, assessment: Assessment, by: Person, minutes_used: int | None, note: str) -> None:
    """Minutes used and the assessor's free note."""
    _check_minutes(minutes_used)
    _check_note(note)
    with touching(assessment, by, minutes_used=minutes_used, note=note.strip()):
        pass


def set_minutes(
    *, assessment: Assessment, by: Person, minutes: int | None, sent: Sent | None = None
) -> None:
    """The minutes used alone; the note stays as it is."""
    _check_minutes(minutes)
    with touching(assessment, by, sent, minutes_used=minutes):
        pass


def set_note(*, assessment: Assessment, by: Person, note: str, sent: Sent | None = None) -> None:
    """The free note alone; the minutes stay as they are."""
    _check_note(note)
    with touching(assessment, by, sent, note=note.strip()):
        pass


def stop_head(*, assessment: Assessment, by: Person, event: str, note: str = "") -> StopEvent:
    """End the head at once for a stop event; nothing else needs to be marked then."""
    if event not in {known.id for known in stop_events()}:
        raise AssessmentError("Choose one of the stop events.", field="event")
    with touching(assessment, by):
        stop, _ = StopEvent.objects.update_or_create(
            assessment=assessment, defaults={"event": event, "note": note.strip()}
        )
    return stop


def resume_head(*, assessment: Assessment, by: Person) -> None:
    """Take a stop event back that was entered by mistake."""
    with touching(assessment, by):
        StopEvent.objects.filter(assessment=assessment).delete()


def keep_feedback_draft(*, assessment: Assessment, by: Person, points: Sequence[Boxes]) -> None:
    """Keep what stands in the boxes of each point, complete or not."""
    with touching(assessment, by):
        FeedbackDraft.objects.update_or_create(
            assessment=assessment,
            defaults={
                "points": [point.as_json() for point in points],
                "changed_at": timezone.now(),
            },
        )


def _check_minutes(minutes: int | None) -> None:
    if minutes is not None and not 0 <= minutes <= MOST_MINUTES:
        raise AssessmentError(
            f"Give the minutes from 0 to {MOST_MINUTES}, for example 55.", field="minutes_used"
        )


def _check_note(note: str) -> None:
    if len(note.strip()) > MOST_IN_NOTE:
        raise AssessmentError(
            f"The note has {len(note.strip())} characters; {MOST_IN_NOTE} fit. Shorten it.",
            field="note",
        )


def _check_place(assessment: Assessment, criterion: Criterion, zone: str) -> None:
    if criterion.version_id != assessment.module_version_id:
        raise AssessmentError("This criterion belongs to another module.")
    scope = scope_of(assessment)
    if scope and criterion.code not in scope:
        raise AssessmentError("This criterion is not judged in this partial re-assessment.")
    by_zone = criterion.scope == Scope.ZONES.value
    if not by_zone and zone:
        raise AssessmentError("This criterion is judged once for the whole head.")
    if by_zone and zone not in assessment.module_version.judged_zones:
        raise AssessmentError("This zone is not judged in this module.")
    if by_zone and zone in {row.zone for row in assessment.zones_left_out.all()}:
        raise AssessmentError("This zone is left out today. Take it in again first.")


def _drafts(apprentice: Person, version: ModuleVersion) -> AssessmentQuerySet:
    return Assessment.objects.filter(
        apprentice=apprentice, module_version=version, state=Assessment.State.DRAFT
    )


def _check_nobody_marks(apprentice: Person, version: ModuleVersion) -> None:
    other = _drafts(apprentice, version).filter(kind=Assessment.Kind.FIRST)
    draft = other.select_related("assessor").first()
    if draft is not None:
        since = timezone.localtime(draft.started_at)
        raise AssessmentError(
            f"{draft.assessor} has been marking this head since {since:%H:%M}, {since:%d %b}. "
            "Ask them to submit or discard it first."
        )


def _record(assessment: Assessment, action: str) -> None:
    record(
        academy_id=assessment.academy_id,
        actor_id=assessment.assessor_id,
        action=action,
        subject=assessment,
        details={
            "apprentice": assessment.apprentice_id,
            "version": assessment.module_version_id,
            "kind": assessment.kind,
        },
    )
