"""What is in hand on the scoring page. All of it stands in the address, so a reload keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from academy.craft.head.sheet import Place

if TYPE_CHECKING:
    from django.http import QueryDict


@dataclass(frozen=True)
class InHand:
    """Zone and view; a mark that is being placed or moved, and how the head is shown."""

    zone: str = ""
    view: str = ""
    by: str = ""  # "criterion": one criterion over all zones; else zone by zone
    row: str = ""  # the criterion in hand, and its zone: "A2-crown"
    large: bool = False  # the head over the whole width
    marking: bool = False  # the next tap on the head marks a fault
    fault: str = ""  # token of the mark in hand
    tap: bool = False  # the next tap on the head moves the mark in hand
    fine: bool = False  # arrows move by 1 mm
    was: str = ""  # where the mark in hand lay before its last move

    @classmethod
    def read(cls, query: QueryDict) -> InHand:
        marking = query.get("mark") == "fault"
        fault = "" if marking else query.get("fault", "")
        return cls(
            zone=query.get("zone", ""),
            view=query.get("view", ""),
            by="criterion" if query.get("by") == "criterion" else "",
            row=query.get("row", ""),
            large="large" in query,
            marking=marking,
            fault=fault,
            tap=bool(fault) and "tap" in query,
            fine="fine" in query,
            was=query.get("was", "") if fault else "",
        )

    @property
    def page(self) -> str:
        """What stands behind `?` so that zone and view come again, with no mark in hand."""
        pairs = [("zone", self.zone), ("view", self.view)]
        pairs += [(name, value) for name, value in (("by", self.by), ("row", self.row)) if value]
        return urlencode([*pairs, *([("large", "1")] * self.large)])

    @property
    def query(self) -> str:
        """What stands behind `?` so that all of it comes again."""
        pairs = [
            ("mark", "fault" if self.marking else ""),
            ("fault", self.fault),
            ("tap", "1" if self.tap else ""),
            ("fine", "1" if self.fine else ""),
            ("was", self.was),
        ]
        return "&".join([self.page, *(urlencode([pair]) for pair in pairs if pair[1])])


def written_place(at: Place) -> str:
    """A place as `was` has it: azimuth and elevation."""
    return f"{at.azimuth_deg:g} {at.elevation_deg:g}"


def read_place(text: str) -> Place | None:
    """The place that `written_place` wrote; None for anything else."""
    try:
        azimuth, elevation = map(float, text.split())
    except ValueError:
        return None
    if not (-180 <= azimuth <= 180 and -90 <= elevation <= 90):
        return None
    return Place.at(azimuth, elevation)
