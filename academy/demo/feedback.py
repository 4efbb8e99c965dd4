"""Which written feedback fits the levels of a head, and where its faults lie. Pure."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING, Any

from academy.assessment.boxes import WHOLE_HEAD, Boxes
from academy.craft.head.sheet import Place as Spot, zone_centre
from academy.craft.head.zones import Zone
from academy.demo import marks, story

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from academy.craft.judging.marking import Marking, Place
    from academy.demo.dice import Dice
    from academy.demo.marks import Marked


class Texts:
    """Deals out the written texts of each module in turn."""

    def __init__(self) -> None:
        self.dealt = Counter[int]()

    def own(self, person: str, module: str, places: tuple[int, ...]) -> list[dict[str, Any]]:
        """The person's own texts that the story names."""
        rows = written(module, person)
        return [rows[place] for place in places]

    def fitting(
        self, module: str, empty: Marking, marked: Marked
    ) -> tuple[dict[str, Any], Marked] | None:
        """The text used least that fits the head, and the head with the level it speaks of.

        The text's level is written over the model's where the head stays what it came to.
        """
        for row in sorted(written(module, ""), key=lambda row: self.dealt[id(row)]):
            levels = {**marked.levels, place_of(row, empty): row["level"]}
            changed = marks.judged(empty, levels)
            if marks.fits(changed):
                self.dealt[id(row)] += 1
                return row, changed
        return None


@cache
def written(module: str, person: str) -> list[dict[str, Any]]:
    rows = story.read("feedback")["feedback"]
    return [row for row in rows if row["module"] == module and row.get("person", "") == person]


def place_of(row: dict[str, Any], empty: Marking) -> Place:
    """Where a text's level stands; a head criterion has no zone, whatever the text saw."""
    found = next(one for one in empty.criteria if one.code == row["criterion"])
    return (found.code, row["zone"] if found.scope == "zones" else None)


def boxes(row: dict[str, Any], on: date) -> Boxes:
    """The text in its four boxes; days count from the day of the head."""
    return Boxes(
        seen_zone=row.get("zone", WHOLE_HEAD),
        seen_what=row["seen"],
        against_criterion=row["criterion"],
        against_level=row["level"],
        why=row["why"],
        next_action=row["next_action"],
        next_number=row["next_number"],
        next_on=on + timedelta(days=row["next_in_days"]),
    )


def weak_zones(levels: Mapping[Place, int]) -> list[str]:
    """The zones with a level under 3, each once."""
    return list(dict.fromkeys(zone for (_, zone), level in levels.items() if zone and level < 3))


def spot(zone: str, dice: Dice) -> Spot:
    """A place in a zone: near its middle, and in it for certain."""
    centre = zone_centre(Zone(zone))
    for reach in (9, 6, 3):
        found = Spot.at(
            centre.azimuth_deg + reach * (2 * dice.share() - 1),
            centre.elevation_deg + reach * (2 * dice.share() - 1),
        )
        if found.zone is centre.zone:
            return found
    return centre


# Where a fault that names a part of the head can lie; one without such a word lies anywhere.
_ONLY_IN = {
    "nape": {"nape"},
    "hairline": {"fringe", "side_left", "side_right"},
    "behind the ear": {"side_left", "side_right", "occipital"},
    "ear line": {"side_left", "side_right"},
    "at the back": {"occipital", "nape", "crown"},
    "at the front": {"fringe", "top"},
    "parting": {"top", "crown", "fringe"},
    "diamond": {"top", "crown"},
}


def lies_in(fault: str, zone: str) -> bool:
    """Whether a fault of this name can be seen in a zone."""
    return all(zone in zones for words, zones in _ONLY_IN.items() if words in fault.lower())
