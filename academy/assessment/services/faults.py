"""Faults on the head: placed, moved, called something else, taken off. Touches of a draft."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Max

from academy.assessment.errors import AssessmentError
from academy.assessment.models import FaultMark
from academy.assessment.services.touching import touching
from academy.craft.head.sheet import Place
from academy.curriculum.reference import practice_faults

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.assessment.models import Assessment
    from academy.craft.head.zones import Zone
    from academy.curriculum.models import Fault
    from academy.people.models import Person

MOST_FAULTS = 40


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
    """Mark a fault at a place on the head: one of the module's own, or one common to all.

    `zone` must be the one the place lies in.
    """
    _check_fault(assessment, fault, common)
    _check_place(azimuth_deg, elevation_deg, zone)
    with touching(assessment, by):
        marks = FaultMark.objects.filter(assessment=assessment)
        if marks.count() >= MOST_FAULTS:
            raise AssessmentError(
                f"There are {MOST_FAULTS} marks on this head already. Take one off first."
            )
        highest = marks.aggregate(highest=Max("number"))["highest"] or 0
        return FaultMark.objects.create(
            assessment=assessment,
            number=highest + 1,
            fault=fault,
            common=common,
            azimuth_deg=azimuth_deg,
            elevation_deg=elevation_deg,
            zone=zone.value,
            note=note.strip(),
        )


def move_fault(
    *, mark: FaultMark, by: Person, azimuth_deg: Decimal, elevation_deg: Decimal, zone: Zone
) -> FaultMark:
    """Put a fault mark somewhere else on the head."""
    _check_place(azimuth_deg, elevation_deg, zone)
    with touching(mark.assessment, by):
        mark.azimuth_deg, mark.elevation_deg = azimuth_deg, elevation_deg
        mark.zone = zone.value
        mark.save()
    return mark


def change_fault(
    *, mark: FaultMark, by: Person, fault: Fault | None, common: str, note: str
) -> FaultMark:
    """Say that a mark stands for another fault."""
    _check_fault(mark.assessment, fault, common)
    with touching(mark.assessment, by):
        mark.fault, mark.common, mark.note = fault, common, note.strip()
        mark.save()
    return mark


def remove_fault(*, mark: FaultMark, by: Person) -> None:
    """Take a mark off; the numbers of the others stay, so that notes still fit."""
    with touching(mark.assessment, by):
        mark.delete()


def _check_fault(assessment: Assessment, fault: Fault | None, common: str) -> None:
    if fault is not None and fault.version_id != assessment.module_version_id:
        raise AssessmentError("This fault belongs to another module.", field="fault")
    if fault is None and common not in {known.id for known in practice_faults()}:
        raise AssessmentError("Choose which fault it is.", field="fault")


def _check_place(azimuth_deg: Decimal, elevation_deg: Decimal, zone: Zone) -> None:
    at = Place.at(float(azimuth_deg), float(elevation_deg))
    if at.zone is None:
        raise AssessmentError("That is beside the hair. Choose a place inside a zone.")
    if at.zone is not zone:
        raise AssessmentError(f"That place lies in the zone {at.zone.words}, not {zone.words}.")
