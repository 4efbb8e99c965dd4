"""Faults on the head: placed, moved, called something else, taken off. Touches of a draft.

A place is kept as azimuth and elevation with the zone it lies in on the sheet's head, so that a
mark keeps its zone on a head of another size, where the border may run a little beside it.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.assessment.errors import AssessmentError
from academy.assessment.mark_text import chosen_fault
from academy.assessment.models import FaultMark
from academy.assessment.services.touching import touching
from academy.craft.head.sheet import Place
from academy.curriculum.reference import practice_faults
from academy.web.tokens import new_token

if TYPE_CHECKING:
    from academy.assessment.mark_text import MarkText
    from academy.assessment.models import Assessment
    from academy.assessment.services.touching import Sent
    from academy.curriculum.models import Fault
    from academy.people.models import Person

MOST_FAULTS = 40
MOST_IN_NOTE = 200


def place_fault(
    *,
    assessment: Assessment,
    by: Person,
    azimuth_deg: Decimal,
    elevation_deg: Decimal,
    fault: Fault | None = None,
    common: str = "",
    note: str = "",
    key: str = "",
) -> FaultMark:
    """Mark a fault at a place on the head: one of the module's own, or one common to all.

    `key` names the request: one that is sent again gets the mark that is there. Marks that were
    read with the assessment are taken as they were read where nobody touched it since.
    """
    _check_fault(assessment, fault, common)
    where = _on_the_hair(azimuth_deg, elevation_deg)
    with touching(assessment, by):
        found = _of_key(assessment, key)
        if found is not None:
            return found
        fields = where | {"fault": fault, "common": common, "note": note.strip()}
        return _create(assessment, key or new_token(), None, fields)


def keep_mark(
    *, assessment: Assessment, by: Person, key: str, text: MarkText, sent: Sent | None = None
) -> FaultMark:
    """Keep a mark as a device has it: placed, put elsewhere, called something else or put back.

    A new one gets the number it asks for, or the next one where another mark has that by now.
    """
    fault, common = chosen_fault(assessment.module_version, text.fault)
    _check_fault(assessment, fault, common)
    if len(text.note) > MOST_IN_NOTE:
        raise AssessmentError(
            f"The note has {len(text.note)} characters; {MOST_IN_NOTE} fit. Shorten it."
        )
    where = _on_the_hair(Decimal(str(text.azimuth_deg)), Decimal(str(text.elevation_deg)))
    fields = where | {"fault": fault, "common": common, "note": text.note.strip()}
    with touching(assessment, by, sent):
        found = _of_key(assessment, key)
        if found is None:
            return _create(assessment, key, text.number, fields)
        FaultMark._base_manager.filter(pk=found.pk).update(**fields)
    return _as_written(found, fields)


def drop_mark(*, assessment: Assessment, by: Person, key: str, sent: Sent) -> None:
    """Take the mark of this key off, as a device has it."""
    with touching(assessment, by, sent):
        FaultMark._base_manager.filter(assessment=assessment, client_key=key).delete()


def _of_key(assessment: Assessment, key: str) -> FaultMark | None:
    return next((mark for mark in assessment.fault_marks.all() if mark.client_key == key), None)


def _create(
    assessment: Assessment, key: str, number: int | None, fields: dict[str, Any]
) -> FaultMark:
    taken = [mark.number for mark in assessment.fault_marks.all()]
    if len(taken) >= MOST_FAULTS:
        raise AssessmentError(
            f"There are {MOST_FAULTS} marks on this head already. Take one off first."
        )
    if number is None or number in taken:
        number = max(taken, default=0) + 1
    return FaultMark.objects.create(assessment=assessment, number=number, client_key=key, **fields)


def move_fault(
    *, mark: FaultMark, by: Person, azimuth_deg: Decimal, elevation_deg: Decimal
) -> FaultMark:
    """Put a fault mark somewhere else on the head."""
    return _write(mark, by, **_on_the_hair(azimuth_deg, elevation_deg))


def change_fault(
    *, mark: FaultMark, by: Person, fault: Fault | None, common: str, note: str
) -> FaultMark:
    """Say that a mark stands for another fault."""
    _check_fault(mark.assessment, fault, common)
    return _write(mark, by, fault=fault, common=common, note=note.strip())


def remove_fault(*, mark: FaultMark, by: Person) -> None:
    """Take a mark off; the numbers of the others stay, so that notes still fit."""
    with touching(mark.assessment, by):
        # As in `_write`.
        FaultMark._base_manager.filter(pk=mark.pk).delete()


def _write(mark: FaultMark, by: Person, **fields: Any) -> FaultMark:
    with touching(mark.assessment, by):
        # The draft is held by `touching`, so the question whether it is frozen is answered.
        if not FaultMark._base_manager.filter(pk=mark.pk).update(**fields):
            raise AssessmentError("This mark was taken off meanwhile.")
    return _as_written(mark, fields)


def _as_written(mark: FaultMark, fields: dict[str, Any]) -> FaultMark:
    for name, value in fields.items():
        setattr(mark, name, value)
    return mark


def _check_fault(assessment: Assessment, fault: Fault | None, common: str) -> None:
    if fault is not None and fault.version_id != assessment.module_version_id:
        raise AssessmentError("This fault belongs to another module.", field="fault")
    if fault is None and common not in {known.id for known in practice_faults()}:
        raise AssessmentError("Choose which fault it is.", field="fault")


def _on_the_hair(azimuth_deg: Decimal, elevation_deg: Decimal) -> dict[str, Any]:
    """The fields of a mark at this place, with the zone it lies in; refused on bare skin."""
    at = Place.at(float(azimuth_deg), float(elevation_deg))
    if at.zone is None:
        raise AssessmentError("That is beside the hair. Choose a place inside a zone.")
    return {
        "azimuth_deg": _degrees(at.azimuth_deg),
        "elevation_deg": _degrees(at.elevation_deg),
        "zone": at.zone.value,
    }


def _degrees(angle: float) -> Decimal:
    return Decimal(str(angle))
