"""Marking one head: every touch is kept in the draft at once. A draft's touches are not recorded;
starting, discarding and submitting are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.db.models import F, Max
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Assessment,
    Booking,
    FaultMark,
    FeedbackDraft,
    Mark,
    StopEvent,
    ZoneLeftOut,
)
from academy.assessment.services.booking import check_may_be_assessed
from academy.audit.services import record
from academy.curriculum.content import Scope
from academy.curriculum.house import current_rule_set
from academy.curriculum.reference import practice_faults, stop_events

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.assessment.boxes import Boxes
    from academy.craft.head.zones import Zone
    from academy.curriculum.models import Criterion, Fault, ModuleVersion
    from academy.people.models import Academy, Person

MOST_FAULTS = 40


def start_assessment(
    *,
    academy: Academy,
    assessor: Person,
    apprentice: Person,
    version: ModuleVersion,
    booking: Booking | None = None,
) -> Assessment:
    """Open a draft, or give the assessor the draft they have already.

    Raises `AssessmentError` for oneself, for unmet needs, for a version the apprentice is not
    on, and where a colleague is marking the same head.
    """
    if assessor == apprentice:
        raise AssessmentError("Nobody assesses themselves.")
    if not rules.may_assess(assessor, academy, apprentice):
        raise AssessmentError("Only an assessor of this academy can do this.")
    if not rules.may_be_assessed(apprentice, academy):
        raise AssessmentError("This person is not an apprentice of your academy.")
    drafts = Assessment.objects.filter(
        apprentice=apprentice, module_version=version, state=Assessment.State.DRAFT
    )
    own = drafts.filter(assessor=assessor).first()
    if own is not None:
        return own
    check_may_be_assessed(academy, apprentice, version)
    other = drafts.select_related("assessor").first()
    if other is not None:
        raise AssessmentError(
            f"{other.assessor} has been marking this head since {other.started_at:%H:%M} UTC. "
            "Ask them to submit or discard it first."
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
            _record(assessment, "assessment.assessment.started")
    except IntegrityError:
        return drafts.get(assessor=assessor)
    return assessment


def discard_draft(*, assessment: Assessment, by: Person) -> None:
    """Throw a draft away. A submitted assessment stands."""
    _check_open(assessment, by)
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
    *, assessment: Assessment, by: Person, criterion: Criterion, zone: str, level: int
) -> None:
    """One level in one place; the zone is empty for a criterion of the whole head."""
    _check_open(assessment, by)
    if criterion.version_id != assessment.module_version_id:
        raise AssessmentError("This criterion belongs to another module.")
    if level not in range(5):
        raise AssessmentError("Levels go from 0 to 4.")
    _check_zone(assessment, criterion, zone)
    with transaction.atomic():
        Mark.objects.update_or_create(
            assessment=assessment,
            criterion=criterion,
            zone=zone,
            defaults={"level": level, "at": timezone.now()},
        )
        _touch(assessment)


def clear_level(*, assessment: Assessment, by: Person, criterion: Criterion, zone: str) -> None:
    """Take a level back that was given by mistake."""
    _check_open(assessment, by)
    with transaction.atomic():
        Mark.objects.filter(assessment=assessment, criterion=criterion, zone=zone).delete()
        _touch(assessment)


def leave_zone_out(*, assessment: Assessment, by: Person, zone: str, reason: str) -> None:
    """A judged zone that was not covered today; its levels are taken away."""
    _check_open(assessment, by)
    if zone not in assessment.module_version.judged_zones:
        raise AssessmentError("This zone is not judged in this module.")
    if not reason.strip():
        raise AssessmentError("Say why, for example: hair too short there.", field="reason")
    with transaction.atomic():
        Mark.objects.filter(assessment=assessment, zone=zone).delete()
        ZoneLeftOut.objects.update_or_create(
            assessment=assessment, zone=zone, defaults={"reason": reason.strip()}
        )
        _touch(assessment)


def take_zone_in(*, assessment: Assessment, by: Person, zone: str) -> None:
    """The zone is judged today after all."""
    _check_open(assessment, by)
    with transaction.atomic():
        ZoneLeftOut.objects.filter(assessment=assessment, zone=zone).delete()
        _touch(assessment)


def place_fault(
    *,
    assessment: Assessment,
    by: Person,
    azimuth_deg: Decimal,
    elevation_deg: Decimal,
    zone: Zone,
    fault: Fault | None = None,
    common: str = "",
    note: str = "",
) -> FaultMark:
    """Mark a fault at a place on the head: one of the module's own, or one common to all."""
    _check_open(assessment, by)
    _check_fault(assessment, fault, common)
    marks = assessment.fault_marks
    if marks.count() >= MOST_FAULTS:
        raise AssessmentError(f"There are {MOST_FAULTS} marks on this head already. Remove one.")
    with transaction.atomic():
        highest = marks.aggregate(highest=Max("number"))["highest"] or 0
        mark = FaultMark.objects.create(
            assessment=assessment,
            number=highest + 1,
            fault=fault,
            common=common,
            azimuth_deg=azimuth_deg,
            elevation_deg=elevation_deg,
            zone=zone.value,
            note=note.strip(),
        )
        _touch(assessment)
    return mark


def move_fault(
    *, mark: FaultMark, by: Person, azimuth_deg: Decimal, elevation_deg: Decimal, zone: Zone
) -> FaultMark:
    """Put a fault mark somewhere else on the head."""
    _check_open(mark.assessment, by)
    with transaction.atomic():
        mark.azimuth_deg, mark.elevation_deg = azimuth_deg, elevation_deg
        mark.zone = zone.value
        mark.save()
        _touch(mark.assessment)
    return mark


def change_fault(
    *, mark: FaultMark, by: Person, fault: Fault | None, common: str, note: str
) -> FaultMark:
    """Say that a mark stands for another fault."""
    _check_open(mark.assessment, by)
    _check_fault(mark.assessment, fault, common)
    with transaction.atomic():
        mark.fault, mark.common, mark.note = fault, common, note.strip()
        mark.save()
        _touch(mark.assessment)
    return mark


def remove_fault(*, mark: FaultMark, by: Person) -> None:
    """Take a mark off; the numbers of the others stay, so that notes still fit."""
    _check_open(mark.assessment, by)
    with transaction.atomic():
        mark.delete()
        _touch(mark.assessment)


def set_overall(*, assessment: Assessment, by: Person, rating: int) -> None:
    """The overall rating, before any sum is shown."""
    _check_open(assessment, by)
    if rating not in range(1, 6):
        raise AssessmentError("The overall rating goes from 1 to 5.")
    with transaction.atomic():
        assessment.overall = rating
        assessment.save(update_fields=["overall"])
        _touch(assessment)


def set_notes(*, assessment: Assessment, by: Person, minutes_used: int | None, note: str) -> None:
    """Minutes used and the assessor's free note."""
    _check_open(assessment, by)
    if minutes_used is not None and not 0 <= minutes_used <= 720:
        raise AssessmentError(
            "Give the minutes from 0 to 720, for example 55.", field="minutes_used"
        )
    with transaction.atomic():
        assessment.minutes_used, assessment.note = minutes_used, note.strip()
        assessment.save(update_fields=["minutes_used", "note"])
        _touch(assessment)


def stop_head(*, assessment: Assessment, by: Person, event: str, note: str = "") -> StopEvent:
    """End the head at once for a stop event; nothing else needs to be marked then."""
    _check_open(assessment, by)
    if event not in {known.id for known in stop_events()}:
        raise AssessmentError("Choose one of the stop events.", field="event")
    with transaction.atomic():
        stop, _ = StopEvent.objects.update_or_create(
            assessment=assessment, defaults={"event": event, "note": note.strip()}
        )
        _touch(assessment)
    return stop


def resume_head(*, assessment: Assessment, by: Person) -> None:
    """Take a stop event back that was entered by mistake."""
    _check_open(assessment, by)
    with transaction.atomic():
        StopEvent.objects.filter(assessment=assessment).delete()
        _touch(assessment)


def keep_feedback_draft(*, assessment: Assessment, by: Person, boxes: Boxes) -> None:
    """Keep what stands in the boxes, complete or not."""
    _check_open(assessment, by)
    with transaction.atomic():
        FeedbackDraft.objects.update_or_create(
            assessment=assessment,
            defaults={"boxes": boxes.as_json(), "changed_at": timezone.now()},
        )
        _touch(assessment)


def _check_open(assessment: Assessment, by: Person) -> None:
    if assessment.state == Assessment.State.SUBMITTED:
        raise AssessmentError("This assessment is submitted and stands. Write a correction.")
    if not rules.may_score(by, assessment):
        raise AssessmentError("Only the assessor who began this draft can mark in it.")


def _check_zone(assessment: Assessment, criterion: Criterion, zone: str) -> None:
    by_zone = criterion.scope == Scope.ZONES.value
    if not by_zone and zone:
        raise AssessmentError("This criterion is judged once for the whole head.")
    if by_zone and zone not in assessment.module_version.judged_zones:
        raise AssessmentError("This zone is not judged in this module.")
    if by_zone and assessment.zones_left_out.filter(zone=zone).exists():
        raise AssessmentError("This zone is left out today. Take it in again first.")


def _check_fault(assessment: Assessment, fault: Fault | None, common: str) -> None:
    if fault is not None and fault.version_id != assessment.module_version_id:
        raise AssessmentError("This fault belongs to another module.", field="fault")
    if fault is None and common not in {known.id for known in practice_faults()}:
        raise AssessmentError("Choose which fault it is.", field="fault")


def _touch(assessment: Assessment) -> None:
    now = timezone.now()
    Assessment.objects.filter(pk=assessment.pk).update(revision=F("revision") + 1, changed_at=now)
    assessment.changed_at = now


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
