"""Bookings, assessed heads with their marks, second marks, acknowledgements and sign-offs."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING

from academy.assessment.editions import scope_of
from academy.assessment.marking import judged_criteria, judged_zones, outcome_rules
from academy.assessment.models import Assessment, Booking
from academy.assessment.services import booking as bookings, faults, scoring, submitting
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.signing import Ticks, sign_off
from academy.craft.judging.marking import Marking, SecondCause
from academy.demo import feedback, marks, story
from academy.demo.acts import mistaken
from academy.demo.dice import Dice
from academy.demo.stage import Event, Stage

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from academy.assessment.boxes import Boxes
    from academy.curriculum.models import ModuleVersion
    from academy.demo.calendar import Calendar
    from academy.demo.story import Head, Told, Work

PLACES = ("chair 1", "chair 2", "chair 3", "chair 4", "practice room", "colour bar")
NOT_DRAWN_BY_SAMPLE = {("mei-fairbrother", "slices", -20)}
# Read later, or not yet: what is still open, and one in a score that never was read.
UNREAD = {
    ("callum-breck", "white-coverage", -12),
    ("otis-grenville", "foil-folding", -9),
    ("mei-fairbrother", "slices", -7),
    ("priyanka-moss", "lightener", -14),
}
# Before that day appointments were kept on paper.
BOOKED_FROM = -150
READ_TO, NEVER_READ = -3, 0.05
TICKS = Ticks(valid=True, sufficient=True, authentic=True, current=True)


def events(calendar: Calendar, works: Iterable[Work]) -> Iterator[Event]:
    texts = feedback.Texts()
    stories = story.told()
    for work in works:
        for head in work.heads:
            told = stories.get((work.person, work.module, head.day))
            yield from _Assessed(work, head, told, texts, calendar).events()
        if work.signed is not None:
            dice = Dice("sign", work.person, work.module, work.signed)
            at = calendar.at(work.signed, 1000 + dice.whole(0, 59))
            yield Event(at, partial(_sign, work=work))


def _sign(stage: Stage, work: Work) -> None:
    if work.signed is None:
        raise ValueError("This work is not signed off.")
    stage.sign_offs[work.person, work.module, work.signed] = sign_off(
        academy=stage.academy,
        assessor=stage.people[work.signer],
        apprentice=stage.people[work.person],
        version=stage.versions[work.module],
        ticks=TICKS,
        method="password",
    )


class _Assessed:
    """One head from the wish to be assessed to the apprentice's "read"."""

    def __init__(
        self, work: Work, head: Head, told: Told | None, texts: feedback.Texts, calendar: Calendar
    ) -> None:
        self.work, self.head, self.told, self.texts = work, head, told, texts
        self.calendar = calendar
        self.dice = Dice("head", work.person, work.module, head.day)
        self.key = (work.person, work.module, head.day)
        self.at = calendar.at(head.day, 545 + 5 * self.dice.whole(0, 30))
        self.booking: Booking | None = None
        self.second: Assessment | None = None
        self.points: list[Boxes] = []

    def events(self) -> Iterator[Event]:
        calendar, head = self.calendar, self.head
        if head.day >= BOOKED_FROM:
            yield Event(calendar.at(head.day - 2, 1075), self.ask)
            yield Event(calendar.at(head.day - 1, 1085), self.book)
        yield Event(self.at, self.begin)
        ended = self.at + timedelta(minutes=70 + 5 * self.dice.whole(0, 8))
        yield Event(ended, self.submit)
        if self.key == mistaken.HEAD:
            yield from mistaken.events(ended, self.submit)
        if head.second:
            looked = ended + timedelta(minutes=45)
            yield Event(looked, self.begin_second)
            yield Event(looked + timedelta(minutes=40), self.submit_second)
        read = head.day + self.dice.whole(1, 4)
        never = self.key in UNREAD or self.dice.share() < NEVER_READ
        if read <= READ_TO and not never:
            yield Event(calendar.at(read, 1100 + self.dice.whole(0, 200)), self.acknowledge)

    def ask(self, stage: Stage) -> None:
        self.booking = bookings.ask_for_assessment(
            academy=stage.academy,
            apprentice=stage.people[self.work.person],
            version=stage.versions[self.work.module],
        )

    def book(self, stage: Stage) -> None:
        if self.booking is None:
            raise RuntimeError("A head is booked after it was asked for.")
        bookings.book(
            booking=self.booking,
            by=stage.people[story.educator_of(self.work.person)],
            assessor=stage.people[self.head.marker],
            at=self.at,
            place=self.dice.pick(PLACES),
        )

    def begin(self, stage: Stage) -> None:
        assessor, version = stage.people[self.head.marker], stage.versions[self.work.module]
        assessment = scoring.start_assessment(
            academy=stage.academy,
            assessor=assessor,
            apprentice=stage.people[self.work.person],
            version=version,
            booking=self.booking,
            chosen=self.told.chosen if self.told else (),
        )
        stage.heads[self.key] = assessment
        empty = blank(assessment, version)
        if self.told is None:
            marked = marks.competent(empty, self.work.person, self.head.marker, self.dice)
            marked = self._written_over(empty, marked)
            write(assessment, version, marked, self.dice)
            self._faults(assessment, version, marked)
            return
        self._points_of(self.told)
        write_told(assessment, version, self.told, self.dice)

    def submit(self, stage: Stage) -> None:
        key = (self.work.person, self.work.module, self.head.day)
        by_sample = bool(self.head.second) and key not in NOT_DRAWN_BY_SAMPLE
        submitting.submit(
            assessment=stage.heads[self.key],
            by=stage.people[self.head.marker],
            points=self.points,
            asked_for=[SecondCause.SAMPLE] if by_sample else [],
        )

    def begin_second(self, stage: Stage) -> None:
        version = stage.versions[self.work.module]
        dice = Dice("second", *self.key)
        second = start_second_mark(
            first=stage.heads[self.key], assessor=stage.people[self.head.second]
        )
        self.second, self.points = second, []
        empty = blank(second, version)
        if self.told is None:
            marked = marks.competent(empty, self.work.person, self.head.second, dice)
            marked = self._written_over(empty, marked)
            write(second, version, marked, dice)
        elif self.told.second is not None:
            self._points_of(self.told.second)
            write_told(second, version, self.told.second, dice)

    def submit_second(self, stage: Stage) -> None:
        if self.second is None:
            raise RuntimeError("A second mark is submitted after it was begun.")
        submitting.submit(
            assessment=self.second, by=stage.people[self.head.second], points=self.points
        )

    def acknowledge(self, stage: Stage) -> None:
        submitting.acknowledge(
            assessment=stage.heads[self.key], apprentice=stage.people[self.work.person]
        )

    def _points_of(self, told: Told) -> None:
        on = self.calendar.date(self.head.day)
        rows = self.texts.own(self.work.person, self.work.module, told.feedback)
        if not rows:
            rows = [
                row
                for row in feedback.written(self.work.module, "")
                if str(row["level"]) in told.levels.get(row["criterion"], "")
            ][:1]
        self.points = [feedback.boxes(row, on) for row in rows]

    def _written_over(self, empty: Marking, marked: marks.Marked) -> marks.Marked:
        found = self.texts.fitting(self.work.module, empty, marked)
        if found is None:
            raise ValueError(f"No written feedback fits a competent head of {self.work.module}.")
        row, marked = found
        self.points = [feedback.boxes(row, self.calendar.date(self.head.day))]
        return marked

    def _faults(self, assessment: Assessment, version: ModuleVersion, marked: marks.Marked) -> None:
        names = [row.fault for row in version.faults.all()]
        for zone in feedback.weak_zones(marked.levels):
            here = [number for number, name in enumerate(names, 1) if feedback.lies_in(name, zone)]
            if self.dice.share() < 0.6 and here:
                place(assessment, version, zone, self.dice, self.dice.pick(here[:4]))


def blank(assessment: Assessment, version: ModuleVersion) -> Marking:
    """The head before the first level."""
    return Marking(
        criteria=judged_criteria(version.criteria.all()),
        zones=judged_zones(version),
        marks={},
        blind_second=assessment.kind == Assessment.Kind.SECOND,
        rules=outcome_rules(assessment.rule_set),
    )


def write(assessment: Assessment, version: ModuleVersion, marked: marks.Marked, dice: Dice) -> None:
    """Levels, overall rating and minutes, one touch after the other."""
    by = assessment.assessor
    criteria = {criterion.code: criterion for criterion in version.criteria.all()}
    for (code, zone), level in marked.levels.items():
        scoring.set_level(
            assessment=assessment, by=by, criterion=criteria[code], zone=zone or "", level=level
        )
    scoring.set_overall(assessment=assessment, by=by, rating=marked.rating)
    set_minutes(assessment, version, dice)


def write_told(assessment: Assessment, version: ModuleVersion, told: Told, dice: Dice) -> None:
    """A head as its story tells it."""
    by = assessment.assessor
    empty = blank(assessment, version)
    levels = marks.told(empty, told.levels)
    criteria = {criterion.code: criterion for criterion in version.criteria.all()}
    scope = scope_of(assessment) or tuple(criteria)
    for (code, zone), level in levels.items():
        if code in scope:
            scoring.set_level(
                assessment=assessment, by=by, criterion=criteria[code], zone=zone or "", level=level
            )
    if told.rating is not None:
        scoring.set_overall(assessment=assessment, by=by, rating=told.rating)
    set_minutes(assessment, version, dice, told.note)
    for text in told.faults:
        what, _, rest = text.partition(" @ ")
        zone, _, count = rest.partition(" x ")
        for _ in range(int(count)):
            place(assessment, version, zone, dice, what)
    if told.stop:
        scoring.stop_head(assessment=assessment, by=by, event=told.stop, note=told.note)


def set_minutes(assessment: Assessment, version: ModuleVersion, dice: Dice, note: str = "") -> None:
    minutes = None
    if version.time_per == "work":
        minutes = round(float(version.time_minutes) * (0.75 + 0.4 * dice.share()))
    scoring.set_notes(
        assessment=assessment, by=assessment.assessor, minutes_used=minutes, note=note
    )


def place(
    assessment: Assessment, version: ModuleVersion, zone: str, dice: Dice, what: int | str
) -> None:
    """A fault somewhere in a zone: one of the module's by its place from 1, or a common one."""
    own: Sequence[object] = list(version.faults.all())
    number = int(what) if str(what).isdigit() else 0
    spot = feedback.spot(zone, dice)
    faults.place_fault(
        assessment=assessment,
        by=assessment.assessor,
        azimuth_deg=Decimal(str(spot.azimuth_deg)),
        elevation_deg=Decimal(str(spot.elevation_deg)),
        fault=version.faults.all()[(number - 1) % len(own)] if number else None,
        common="" if number else str(what),
    )
