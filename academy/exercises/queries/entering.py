"""Who is missing on a paper, and the form on which their paper answers are typed in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Count, Q

from academy.exercises.form_numbers import (
    form_number,
    is_of_an_earlier_edition,
    looks_like_one,
    people_of,
)
from academy.exercises.models import AnswerSheet, Paper, Question
from academy.exercises.queries.lines import Line
from academy.exercises.queries.sheets import Lined
from academy.exercises.services.draws import recipients
from academy.exercises.services.keeping import questions_of, rows_of
from academy.people.models import CohortPlace, Person

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from academy.exercises.services.keeping import At


@dataclass(frozen=True)
class Missing:
    """One apprentice who has not handed in. `filled` counts the lines that stand already."""

    person: Person
    number: str
    drawn: bool
    sheet: AnswerSheet | None
    filled: int

    @property
    def words(self) -> str:
        """How far it is, for the list."""
        if not self.drawn:
            return "no numbers yet: print the paper first"
        if self.sheet is None:
            return "not begun"
        who = "entered" if self.sheet.entered_by_id else "begun by themselves"
        return f"{who}, {self.filled} {'line' if self.filled == 1 else 'lines'} filled"


@dataclass(frozen=True)
class Found:
    """What a form number or a name leads to: one person, some to choose from, or a sentence."""

    people: Sequence[Person] = ()
    sentence: str = ""
    handed_in: AnswerSheet | None = None
    elsewhere: Paper | None = None


def missing_on(paper: Paper, but: Person) -> list[Missing]:
    """Everybody who could hand in and has not, by name, without `but`. Four queries."""
    people = [person for person in recipients(paper) if person != but]
    sheets: dict[int, AnswerSheet] = {}
    done: set[int] = set()
    counted = AnswerSheet.objects.filter(paper=paper).annotate(
        filled=Count("answers", filter=~Q(answers__written=""))
    )
    for sheet in counted:
        sheets[sheet.apprentice_id] = sheet
        if sheet.handed_in:
            done.add(sheet.apprentice_id)
    own = Question.objects.filter(paper=paper, edition=paper.edition, attempt=1)
    drawn = set(own.values_list("apprentice", flat=True).distinct())
    return [
        Missing(
            person,
            form_number(paper, person),
            None in drawn if paper.same_numbers else person.pk in drawn,
            sheets.get(person.pk),
            getattr(sheets.get(person.pk), "filled", 0),
        )
        for person in people
        if person.pk not in done
    ]


def find(paper: Paper, text: str, missing: Sequence[Missing]) -> Found:
    """Whom a form number or some letters of a name mean. Two queries at most, one more elsewhere.

    A name finds among those who are missing; a number finds whoever the form was printed for.
    """
    wanted = text.strip()
    if not wanted:
        return Found(sentence="Type a form number, for example K7M-4QX, or some of a name.")
    waiting = [row.person for row in missing]
    if looks_like_one(wanted):
        if hit := people_of(wanted, paper, waiting):
            return Found(hit)
        if found := _by_number(paper, wanted, waiting):
            return found
    named = [person for person in waiting if wanted.casefold() in person.name.casefold()]
    if named:
        return Found(named)
    return Found(
        sentence=f"Nobody who is missing has \u201c{wanted[:40]}\u201d as a form number or in "
        "their name. The number stands at the top of the form and at its foot."
    )


def _by_number(paper: Paper, number: str, waiting: Iterable[Person]) -> Found | None:
    """A number that is not of somebody who is missing here: handed in, outdated, another paper."""
    sheets = AnswerSheet.objects.filter(paper=paper, submitted_at__isnull=False)
    done = list(sheets.select_related("apprentice").order_by("attempt"))
    for sheet in done:
        if people_of(number, paper, [sheet.apprentice]):
            sentence = f"{sheet.apprentice.name} has handed in this paper already."
            return Found(sentence=sentence, handed_in=sheet)
    everybody = [*waiting, *(sheet.apprentice for sheet in done)]
    if is_of_an_earlier_edition(number, paper, everybody):
        return Found(
            sentence="This form was printed before the paper was changed: its questions are not "
            "these. Print the paper again."
        )
    return _on_another_paper(paper, number)


def _on_another_paper(paper: Paper, number: str) -> Found | None:
    others = Paper.objects.filter(academy=paper.academy_id).standing().exclude(pk=paper.pk)
    places = CohortPlace.objects.filter(cohort__academy=paper.academy_id).select_related("person")
    people: dict[int, list[Person]] = {}
    for place in places:
        people.setdefault(place.cohort_id, []).append(place.person)
    for other in others.select_related("cohort", "academy"):
        if people_of(number, other, people.get(other.cohort_id, ())):
            return Found(
                sentence=f"This form belongs to \u201c{other.title}\u201d for {other.cohort}.",
                elsewhere=other,
            )
    return None


@dataclass(frozen=True)
class Form:
    """A paper form as it is typed in."""

    questions: tuple[Lined, ...]

    @property
    def lines(self) -> list[Line]:
        return [line for question in self.questions for line in question.lines]

    @property
    def open(self) -> int:
        return sum(line.is_open for line in self.lines)

    def line(self, name: str) -> Line | None:
        return next((line for line in self.lines if line.name == name), None)


def form_of(
    paper: Paper,
    person: Person,
    sheet: AnswerSheet | None,
    typed: Mapping[At, str] | None = None,
) -> Form:
    """The fields of a person's form with what is kept, or with `typed`. At most three queries."""
    rows, more = rows_of(sheet) if sheet else {}, typed or {}
    at = sheet or AnswerSheet(paper=paper, apprentice=person, attempt=1)
    entered = []
    for question in questions_of(at):
        lines = []
        for field in question.question.fields:
            kept = rows.get((question.pk, field.key))
            text = more.get((question.position, field.key), kept.written if kept else "")
            lines.append(Line(question.position, question.question, field, text, kept))
        entered.append(Lined(question, tuple(lines)))
    return Form(tuple(entered))
