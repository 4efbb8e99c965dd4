"""What is open today: bookings, one of them called off, a half-marked head, an appeal."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from academy.assessment.boxes import Boxes
from academy.assessment.models import Assessment
from academy.assessment.services import booking as bookings, scoring
from academy.assessment.services.appealing import appeal
from academy.demo import story
from academy.demo.acts.assessing import blank
from academy.demo.stage import Event, Stage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.assessment.models import Booking
    from academy.demo.calendar import Calendar

# Person, module, day asked, assessor, day booked for, minute, place.
BOOKED = (
    ("priyanka-moss", "white-coverage", -4, "dilys-okafor-reed", 0, 510, "chair 2"),
    ("otis-grenville", "foil-folding", -2, "dilys-okafor-reed", 0, 870, "chair 4"),
    ("mei-fairbrother", "slices", -3, "dilys-okafor-reed", 1, 600, "practice room"),
    ("callum-breck", "white-coverage", -3, "bram-halvorsen", 2, 570, "chair 1"),
)
ASKED = (("lewis-tarn", "strand-check", -1), ("eero-castell", "consultation", -1))
CALLED_OFF = ("ravi-dunmore", "slices", -26, "bram-halvorsen", -21, 600, "chair 3")
# Against the stop of her first head; she has passed since, and a "not yet" stays on record.
APPEALED, APPEALED_ON = ("saoirse-kettle", "hygiene", -21), -3
APPEAL = (
    "The gloves lay open on the tray, and I was drying my hands to put them on when the head was "
    "stopped. I have passed since, but I would like somebody else to look at that note before it "
    "stays on my record."
)
DRAFT = ("priyanka-moss", "white-coverage", 0)
# Ten levels are there, seven are missing: the nape, most of saturation, and the strand check.
GIVEN = {"V1": "333323", "V2": "3", "V3": "33", "V4": "3"}


def events(calendar: Calendar) -> Iterator[Event]:
    for row in (*BOOKED, CALLED_OFF):
        kept: list[Booking] = []
        yield Event(calendar.at(row[2], 1075), partial(_ask, row=row[:2], kept=kept))
        yield Event(
            calendar.at(row[2] + 1, 1085),
            partial(_book, kept=kept, row=row, calendar=calendar),
        )
        if row is CALLED_OFF:
            yield Event(calendar.at(-22, 1000), partial(_call_off, kept=kept))
        if row[:2] == DRAFT[:2]:
            yield Event(calendar.latest, partial(_half_marked, kept=kept))
    for person, module, day in ASKED:
        yield Event(calendar.at(day, 1080), partial(_ask, row=(person, module), kept=[]))
    yield Event(calendar.at(APPEALED_ON, 1020), _appeal)


def _appeal(stage: Stage) -> None:
    appeal(
        assessment=Assessment.objects.for_result().get(pk=stage.heads[APPEALED].pk),
        apprentice=stage.people[APPEALED[0]],
        text=APPEAL,
    )


def _ask(stage: Stage, row: tuple[str, str], kept: list[Booking]) -> None:
    person, module = row
    kept.append(
        bookings.ask_for_assessment(
            academy=stage.academy,
            apprentice=stage.people[person],
            version=stage.versions[module],
        )
    )


def _book(
    stage: Stage,
    kept: list[Booking],
    row: tuple[str, str, int, str, int, int, str],
    calendar: Calendar,
) -> None:
    person, _, _, assessor, day, minute, place = row
    bookings.book(
        booking=kept[0],
        by=stage.people[story.educator_of(person)],
        assessor=stage.people[assessor],
        at=calendar.at(day, minute),
        place=place,
    )


def _call_off(stage: Stage, kept: list[Booking]) -> None:
    bookings.cancel_booking(
        booking=kept[0],
        by=stage.people["ravi-dunmore"],
        reason="I am ill and do not know yet for how long.",
    )


def _half_marked(stage: Stage, kept: list[Booking]) -> None:
    dilys, version = stage.people["dilys-okafor-reed"], stage.versions[DRAFT[1]]
    draft = scoring.start_assessment(
        academy=stage.academy,
        assessor=dilys,
        apprentice=stage.people[DRAFT[0]],
        version=version,
        booking=kept[0],
    )
    criteria = {criterion.code: criterion for criterion in version.criteria.all()}
    empty = blank(draft, version)
    for criterion in empty.criteria:
        levels = GIVEN.get(criterion.code, "")
        for zone, level in zip(empty.where(criterion), levels, strict=False):
            scoring.set_level(
                assessment=draft,
                by=dilys,
                criterion=criteria[criterion.code],
                zone=zone.code if zone else "",
                level=int(level),
            )
    scoring.keep_feedback_draft(
        assessment=draft,
        by=dilys,
        points=[
            Boxes(seen_zone="side_right", seen_what="Two rows at the temple thinner than the rest.")
        ],
    )
    stage.heads[DRAFT] = draft
