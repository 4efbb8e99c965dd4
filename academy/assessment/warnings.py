"""What an assessor is asked to look at once more before feedback stands. Warnings, no refusals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.assessment.boxes import WHOLE_HEAD, Boxes, fullest
from academy.craft.head.zones import Zone
from academy.curriculum.house import rules_of
from academy.practice.names import names_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.models import Assessment
    from academy.people.models import Person


def boxes_needed(assessment: Assessment) -> int:
    """How many boxes a sign-off asks for, by the rules the head is judged under."""
    return int(rules_of(assessment.rule_set).number("judging", what="feedback_boxes"))


def warnings_of(assessment: Assessment, points: Sequence[Boxes], *, writer: Person) -> list[str]:
    """Few boxes, words about the person, names, and levels that the head does not have.

    Reads the head's marks with their criteria.
    """
    found = []
    personal = sorted({word for point in points for word in point.personal_words})
    if personal:
        words = ", ".join(personal)
        found.append(f"“{words}” speaks of the person. Say what the hands did instead.")
    texts = [text for point in points for text in point.texts]
    names = names_in(texts, assessment.academy, writer=writer)
    if names:
        found.append(
            f"“{', '.join(names)}” reads like a name. Others read this; leave people out unless "
            "you mean to name them."
        )
    found += filter(None, (_other_level(assessment, point) for point in points))
    needed, best = boxes_needed(assessment), fullest(points)
    if best.count < needed:
        found.append(
            f"Only {best.count} of 4 boxes are filled ({', '.join(best.open_words)} open). "
            f"A sign-off needs {needed}{' in one point' if len(points) > 1 else ''}."
        )
    else:
        found += [
            f"Point {number}: only {point.count} of 4 boxes are filled "
            f"({', '.join(point.open_words)} open)."
            for number, point in enumerate(points, 1)
            # A point of a note alone is a note besides.
            if 0 < point.count < needed
        ]
    return found


def _other_level(assessment: Assessment, boxes: Boxes) -> str:
    """Where the box names a level that this criterion has nowhere, or not in this zone."""
    zone = "" if boxes.seen_zone == WHOLE_HEAD else boxes.seen_zone
    given = {
        mark.zone: mark.level
        for mark in assessment.marks.select_related("criterion")
        if mark.criterion.code == boxes.against_criterion
    }
    if not given or boxes.against_level is None:
        return ""
    here = {given[zone]} if zone and zone in given else set(given.values())
    if boxes.against_level in here:
        return ""
    where = f" in the {Zone(zone).words} zone" if zone and zone in given else ""
    levels = " and ".join(str(level) for level in sorted(here))
    return (
        f"{boxes.against_criterion}{where} has level {levels} on the head, and "
        f"{boxes.against_level} in the box."
    )
