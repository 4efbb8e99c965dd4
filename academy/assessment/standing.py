"""What stands at a place of a draft, as a device compares it with what it knew.

Places are "level-A2-crown" (the zone may be empty), "overall", "minutes_used", "note",
"zone-crown" and "fault-" with the key of a fault mark. What stands is a text, empty for nothing.
Of a zone it is the reason why it is left out, or after "levels:" its levels, which go when it is
left out; of a mark its `academy.assessment.mark_text`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.assessment.editions import edition_of
from academy.assessment.mark_text import FAULT, mark_text

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.assessment.models import Assessment
    from academy.curriculum.models import Criterion

LEVEL, ZONE = "level-", "zone-"
OF_THE_HEAD = ("overall", "minutes_used", "note")


def level_place(name: str) -> tuple[str, str]:
    """Criterion and zone of a place "level-A2-crown"; the zone may be empty."""
    code, _, zone = name.removeprefix(LEVEL).rpartition("-")
    return code, zone


def criterion_of(assessment: Assessment, code: str) -> Criterion | None:
    """The criterion of this code; None where the module has none."""
    criteria = edition_of(assessment.module_version).criteria
    return next((criterion for criterion in criteria if criterion.code == code), None)


def standing(assessment: Assessment, place: str) -> str:
    """What stands there; at most two queries."""
    if place in OF_THE_HEAD:
        value = getattr(assessment, place)
        # A form sends its lines with CR, a script without.
        return "" if value is None else str(value).replace("\r\n", "\n")
    if place.startswith(ZONE):
        return _zone(assessment, place.removeprefix(ZONE))
    if place.startswith(FAULT):
        key = place.removeprefix(FAULT)
        marks = assessment.fault_marks.all()
        return next((mark_text(mark) for mark in marks if mark.client_key == key), "")
    code, zone = level_place(place)
    criterion = criterion_of(assessment, code)
    if criterion is None:
        return ""
    levels = assessment.marks.filter(criterion=criterion, zone=zone)
    return "".join(str(level) for level in levels.values_list("level", flat=True))


def _zone(assessment: Assessment, zone: str) -> str:
    for row in assessment.zones_left_out.all():
        if row.zone == zone:
            return row.reason
    codes = {row.pk: row.code for row in edition_of(assessment.module_version).criteria}
    return zone_levels(
        (codes[pk], level)
        for pk, level in assessment.marks.filter(zone=zone).values_list("criterion", "level")
    )


def zone_levels(levels: Iterable[tuple[str, int]]) -> str:
    """The levels of a zone in one text, by code: "levels:A2=3 A4=1"; empty for none."""
    pairs = " ".join(f"{code}={level}" for code, level in sorted(levels))
    return f"levels:{pairs}" if pairs else ""
