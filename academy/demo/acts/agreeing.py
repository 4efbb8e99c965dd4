"""How assessors agree: a reference head marked by two, a second mark given, the sample set."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING

from academy.assessment.boxes import WHOLE_HEAD, Boxes
from academy.assessment.services import scoring, submitting
from academy.assessment.services.head_sample import plan_head_sample
from academy.assessment.services.second import assign_second_mark
from academy.assessment.services.standardising import (
    AgreedFault,
    keep_reference,
    places_of,
    publish_reference,
    start_reference,
    write_reference,
)
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.demo import story
from academy.demo.stage import Event, Stage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.assessment.models import ReferenceHead
    from academy.demo.calendar import Calendar

MODULE = "white-coverage"
# The nape is agreed at 2 for coverage; Bram sees coverage half a level harder, Dilys as agreed.
AGREED_LOWER = {("V1", Zone.NAPE.value): 2}
MARKED = {"dilys-okafor-reed": (-18, 0), "bram-halvorsen": (-17, 1)}
WAITS, GIVEN_TO, GIVEN_ON = ("nadia-sorrell", "white-coverage", -2), "yusra-lindqvist", -1
SEED, PERCENT = 20_261_127, Decimal(15)


def events(calendar: Calendar) -> Iterator[Event]:
    kept: list[ReferenceHead] = []
    yield Event(calendar.at(-20, 900), partial(_publish, kept=kept))
    for person, (day, lower) in MARKED.items():
        yield Event(
            calendar.at(day, 1020),
            partial(_mark, kept=kept, person=person, lower=lower, calendar=calendar, day=day),
        )
    yield Event(calendar.at(GIVEN_ON, 700), _give)
    yield Event(calendar.latest, _sample)


def _publish(stage: Stage, kept: list[ReferenceHead]) -> None:
    maren = stage.people[story.MAREN]
    row = write_reference(
        academy=stage.academy,
        by=maren,
        version=stage.versions[MODULE],
        name="Nape thin at the hairline",
        about="The block stands at chair 4. Mark it as it is now; 90 minutes were used.",
    )
    levels = {}
    for criterion, zone in places_of(row.module_version):
        level = AGREED_LOWER.get((criterion.code, zone), 3)
        levels[criterion.code, zone] = (level, criterion.levels[level][:300])
    faults = [AgreedFault(zone_centre(Zone.NAPE), common="gap", note="third parting")]
    keep_reference(reference=row, by=maren, levels=levels, faults=faults)
    kept.append(publish_reference(reference=row, by=maren))


def _mark(
    stage: Stage,
    kept: list[ReferenceHead],
    person: str,
    lower: int,
    calendar: Calendar,
    day: int,
) -> None:
    by = stage.people[person]
    draft = start_reference(reference=kept[0], assessor=by)
    for criterion, zone in places_of(draft.module_version):
        agreed = AGREED_LOWER.get((criterion.code, zone), 3)
        level = agreed - lower if criterion.code == "V1" else agreed
        scoring.set_level(assessment=draft, by=by, criterion=criterion, zone=zone, level=level)
    scoring.set_overall(assessment=draft, by=by, rating=3)
    point = Boxes(
        seen_zone=WHOLE_HEAD,
        seen_what="White shows at the nape hairline, third parting.",
        against_criterion="V1",
        against_level=2,
        why="The sections were too thick there to be wetted through.",
        next_action="Nape panels at 3 mm",
        next_number=3,
        next_on=calendar.date(day + 14),
    )
    submitting.submit(assessment=draft, by=by, points=[point])


def _give(stage: Stage) -> None:
    assign_second_mark(
        first=stage.heads[WAITS], assessor=stage.people[GIVEN_TO], by=stage.people[story.MAREN]
    )


def _sample(stage: Stage) -> None:
    plan_head_sample(
        academy=stage.academy, by=stage.people[story.VERIFIER], percent=PERCENT, seed=SEED
    )
