"""A fault mark in one text, as a device sends it and compares it with what stands.

"3 40.5 12 gap the comb again" is number, azimuth, elevation, which fault, and the note. Which
fault is "own-" with its position for the module's own, else the id of one common to every sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.editions import edition_of

if TYPE_CHECKING:
    from academy.assessment.models import FaultMark
    from academy.curriculum.models import Fault, ModuleVersion

FAULT = "fault-"
_OWN = "own-"


@dataclass(frozen=True)
class MarkText:
    """What stands of a mark, read from its text or to be written as one."""

    number: int
    azimuth_deg: float
    elevation_deg: float
    fault: str
    note: str

    @classmethod
    def read(cls, text: str) -> MarkText | None:
        """None for what is no such text."""
        parts = text.split(" ", 4)
        try:
            number, azimuth, elevation = int(parts[0]), float(parts[1]), float(parts[2])
            fault = parts[3]
        except (ValueError, IndexError):
            return None
        if not (1 <= number <= 999 and -180 <= azimuth <= 180 and -90 <= elevation <= 90):
            return None
        return cls(number, azimuth, elevation, fault, parts[4] if len(parts) > 4 else "")

    @property
    def written(self) -> str:
        # Adding 0 makes a zero below zero one without its sign.
        angles = f"{self.azimuth_deg + 0:g} {self.elevation_deg + 0:g}"
        return f"{self.number} {angles} {self.fault} {self.note}".strip()


def mark_text(mark: FaultMark) -> str:
    """What stands of a mark."""
    return MarkText(
        mark.number,
        float(mark.azimuth_deg),
        float(mark.elevation_deg),
        fault_choice(mark, mark.assessment.module_version),
        mark.note,
    ).written


def as_compared(place: str, text: str) -> str:
    """The part of what stands at a place by which two texts are the same.

    The number of a mark is not one: another mark may have had it meanwhile.
    """
    return text.partition(" ")[2] if place.startswith(FAULT) else text


def fault_choice(mark: FaultMark, version: ModuleVersion) -> str:
    """The choice that stands for a mark's fault; no query for an edition that is known."""
    if mark.fault_id is None:
        return mark.common
    positions = {fault.pk: fault.position for fault in edition_of(version).faults}
    return f"{_OWN}{positions[mark.fault_id]}"


def chosen_fault(version: ModuleVersion, choice: str) -> tuple[Fault | None, str]:
    """From a choice: the module's own fault, or the common one's id; neither for an unknown one."""
    if not choice.startswith(_OWN):
        return None, choice
    faults = {str(fault.position): fault for fault in edition_of(version).faults}
    return faults.get(choice.removeprefix(_OWN)), ""
