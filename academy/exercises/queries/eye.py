"""How an apprentice reads by eye: bias and scatter in each exercise, by month and now."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils import timezone

from academy.craft.exercise.engine import family_of
from academy.craft.exercise.eye import Bias, EyeReading, bias_of, by_month, latest
from academy.craft.exercise.eye_words import SCALES, Reader, average, headline, scatter, spread
from academy.exercises.eye_plot import Plot, plot_of
from academy.exercises.models import Answer, AnswerSheet, Paper, Question
from academy.exercises.queries.standing import counting
from academy.people.models import Membership, Person, Role, held_roles_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from django.db.models import QuerySet

    from academy.people.models import Academy

MOST_ANSWERS = 600
"""The newest are taken; more than that nobody reads in two years."""


@dataclass(frozen=True)
class EyeRow:
    """One line of the table: the latest readings, or those of the month of `first`."""

    first: date | None
    count: int
    average: str
    spread: str


@dataclass(frozen=True)
class EyePart:
    """One exercise of the eye; `rows` holds the latest readings first, then months, newest first.

    `weight` says how much there is to say. Where nothing was read there are no rows and no plot.
    """

    family: str
    title: str
    headline: str = ""
    scatter: str = ""
    weight: Decimal = Decimal(0)
    rows: tuple[EyeRow, ...] = ()
    plot: Plot | None = None

    @property
    def count(self) -> int:
        return sum(row.count for row in self.rows if row.first is not None)


def learners_visible_to(viewer: Person, academy: Academy) -> QuerySet[Person]:
    """Whose eye one may look at: for staff every apprentice, now or before; else only one's own."""
    members = Membership.objects.filter(academy=academy, role=Role.APPRENTICE)
    people = Person.objects.filter(memberships__in=members).distinct()
    if held_roles_of(viewer, academy) == (Role.APPRENTICE,):
        return people.filter(pk=viewer.pk)
    return people


def eye_parts(viewer: Person, academy: Academy, person: Person) -> list[EyePart]:
    """Every exercise of the eye, as far as the viewer may see the sheets. Four queries."""
    reader = Reader() if viewer == person else Reader(person.name)
    found = _readings(viewer, academy, person)
    return [_part(family, found.get(family, []), reader) for family in SCALES]


def _part(family: str, found: Sequence[tuple[EyeReading, Decimal]], reader: Reader) -> EyePart:
    title = family_of(family).title
    if not found:
        return EyePart(family, title)
    readings = [reading for reading, _ in found]
    now = latest(readings)
    rows = [EyeRow(None, len(now), average(family, bias_of(now)), spread(family, bias_of(now)))]
    rows += [
        EyeRow(
            month.first,
            len(month.readings),
            average(family, month.bias),
            spread(family, month.bias),
        )
        for month in reversed(by_month(readings))
    ]
    return EyePart(
        family,
        title,
        headline(family, readings, reader),
        scatter(family, readings),
        _weight(bias_of(now), found[-1][1]),
        tuple(rows),
        plot_of(family, readings, found[-1][1], title),
    )


def telling(parts: Sequence[EyePart]) -> str:
    """The sentence about the exercise that leans most; empty where none can be told."""
    most = max(parts, key=lambda part: part.weight)
    return most.headline if most.weight else ""


def _weight(bias: Bias | None, allowed: Decimal) -> Decimal:
    """How far a mean lies off in tolerances; where the house allows nothing, in whole steps."""
    return abs(bias.mean) / (allowed or 1) if bias else Decimal(0)


def _readings(
    viewer: Person, academy: Academy, person: Person
) -> dict[str, list[tuple[EyeReading, Decimal]]]:
    """What was read and what was right, by family, oldest first, each with its tolerance.

    Tests count once their solution is shown; what could not be read says nothing of the eye.
    """
    practice = Q(sheet__paper__kind=Paper.Kind.PRACTICE)
    # As `Paper.shows_solution`, in the academy's time zone that every view runs in.
    closed = Q(sheet__paper__closed_at__lte=timezone.now())
    over = Q(sheet__paper__due_on__lt=timezone.localdate())
    answers = (
        Answer.objects.filter(
            practice | closed | over,
            sheet__in=AnswerSheet.objects.visible_to(viewer, academy).handed_in(),
            sheet__apprentice=person,
            question__family__in=SCALES,
        )
        .exclude(written="")
        .order_by("-sheet__submitted_at", "-pk")
        .values_list("question", "field", "written", "sheet__submitted_at")[:MOST_ANSWERS]
    )
    rows = list(answers)[::-1]
    asked = Question.objects.filter(pk__in={question for question, *_ in rows})
    drawn = {row.pk: row for row in counting(asked)}
    found: dict[str, list[tuple[EyeReading, Decimal]]] = defaultdict(list)
    for pk, name, written, moment in rows:
        question = drawn[pk].question
        reading = question.read(name, written)
        if reading.value is not None:
            day = timezone.localdate(moment)
            read = EyeReading(day, question.key[name], reading.value)
            found[drawn[pk].family].append((read, question.field(name).tolerance.plain))
    return found
