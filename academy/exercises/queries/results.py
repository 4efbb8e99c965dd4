"""Who got what on a paper, and which mistakes were made."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import family_of
from academy.exercises.models import AnswerSheet, Paper, Question
from academy.exercises.queries.answers import answers_now
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.standing import counting
from academy.exercises.services.draws import recipients

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.exercises.queries.answers import AnswerNow
    from academy.people.models import Person

ALL, OPEN, NOT_PASSED, UNSAFE = "all", "open", "not-passed", "not-safe"
FILTERS = {
    ALL: "All",
    OPEN: "Not handed in",
    NOT_PASSED: "Not passed yet",
    UNSAFE: "Not safe",
}


@dataclass
class PersonRow:
    """One apprentice on one paper. `sheet` is the last one handed in."""

    person: Person
    here: bool = True
    begun: bool = False
    sheet: AnswerSheet | None = None
    attempts: int = 0
    passed: bool = False
    slips: list[str] = field(default_factory=list)

    @property
    def state(self) -> str:
        """The mark of the last sheet; a paper once passed stays passed."""
        if self.sheet is None:
            return "missing"
        if self.sheet.stands.not_safe:
            return "wrong"
        return "right" if self.passed else "notyet"

    @property
    def words(self) -> str:
        if self.sheet is None:
            return "begun" if self.begun else "not begun"
        if self.sheet.stands.not_safe:
            return "not safe"
        return "passed" if self.passed else "not yet"

    @property
    def late(self) -> bool:
        """Whether it came after the last day; when a paper form was handed over nobody noted."""
        sheet = self.sheet
        if sheet is None or sheet.submitted_at is None or sheet.entered_by_id is not None:
            return False
        return sheet.paper.is_late(sheet.submitted_at)

    def fits(self, chosen: str) -> bool:
        """Whether a filter keeps this row."""
        return {
            OPEN: self.sheet is None,
            NOT_PASSED: self.sheet is not None and not self.passed,
            UNSAFE: self.sheet is not None and self.sheet.stands.not_safe,
        }.get(chosen, True)


@dataclass(frozen=True)
class Slip:
    """A named slip: how often, by how many, and the sentence that helps, from one of the sheets."""

    words: str
    family: str
    sentence: str
    count: int
    people: int
    width: int


@dataclass(frozen=True)
class QuestionShare:
    """How many lines of the question at one place earned their marks, over all sheets."""

    position: int
    title: str
    level: str
    earned: int
    lines: int

    @property
    def share(self) -> int:
        """Per cent, rounded down: 100 only when nothing was missed."""
        return 100 * self.earned // self.lines if self.lines else 0


@dataclass(frozen=True)
class Results:
    """All that the page of a paper shows, as it is marked now. Eight queries."""

    rows: list[PersonRow]
    slips: list[Slip]
    questions: list[QuestionShare]

    @property
    def handed_in(self) -> int:
        return sum(row.sheet is not None and row.here for row in self.rows)

    @property
    def places(self) -> int:
        return sum(row.here for row in self.rows)

    @property
    def passed(self) -> int:
        return sum(row.passed for row in self.rows)

    @property
    def unsafe(self) -> int:
        return sum(row.fits(UNSAFE) for row in self.rows)


def results_of(paper: Paper) -> Results:
    rows = _people(paper)
    answers = answers_now(paper)
    for answer in answers:
        row, words = rows[answer.person], slip_words(answer.mistake)
        if words and row.sheet and row.sheet.pk == answer.sheet and words not in row.slips:
            row.slips.append(words)
    return Results(list(rows.values()), slips_in(answers), _questions(paper, answers))


def _people(paper: Paper) -> dict[int, PersonRow]:
    """Everybody for whom the paper is today, or with a sheet, by name."""
    rows = {person.pk: PersonRow(person) for person in recipients(paper)}
    sheets = AnswerSheet.objects.filter(paper=paper).select_related("apprentice")
    for sheet in sheets.prefetch_related("remarks").order_by("attempt"):
        sheet.paper = paper
        row = rows.setdefault(sheet.apprentice_id, PersonRow(sheet.apprentice, here=False))
        if not sheet.handed_in:
            row.begun = True
            continue
        row.sheet, row.attempts = sheet, row.attempts + 1
        row.passed = row.passed or sheet.stands.passed
    return dict(sorted(rows.items(), key=lambda item: (item[1].person.name, item[0])))


def slips_in(answers: Iterable[AnswerNow]) -> list[Slip]:
    """The commonest first. A slip that shows in several lines of a question counts once there.

    Two queries.
    """
    sheets: dict[tuple[str, str], set[tuple[int, int]]] = defaultdict(set)
    people: dict[tuple[str, str], set[int]] = defaultdict(set)
    example: dict[tuple[str, str], tuple[int, str]] = {}
    for answer in answers:
        if not answer.mistake:
            continue
        key = (answer.family, answer.mistake)
        sheets[key].add((answer.sheet, answer.question))
        people[key].add(answer.person)
        example[key] = (answer.question, answer.field)
    examples = Question.objects.filter(pk__in={question for question, _ in example.values()})
    drawn = {row.pk: row for row in counting(examples)}
    most = max(map(len, sheets.values()), default=1)
    order = sorted(sheets, key=lambda key: (-len(sheets[key]), key))
    return [
        Slip(
            words=slip_words(key[1]),
            family=family_of(key[0]).title,
            sentence=sentence_of(drawn[example[key][0]], key[1], example[key][1]),
            count=len(sheets[key]),
            people=len(people[key]),
            width=100 * len(sheets[key]) // most,
        )
        for key in order
    ]


def sentence_of(question: Question, mistake: str, name: str = "") -> str:
    """What a question says to who made a slip, in the field of this name or in any."""
    found = [m for m in question.question.mistakes if m.id == mistake and name in {"", m.field}]
    return found[0].sentence if found else ""


def _questions(paper: Paper, answers: Iterable[AnswerNow]) -> list[QuestionShare]:
    earned: dict[int, list[bool]] = defaultdict(list)
    for answer in answers:
        earned[answer.position].append(answer.earned)
    asked = [part for part in paper.parts.all() for _ in range(part.count)]
    return [
        QuestionShare(
            position,
            family_of(part.family).title,
            part.level,
            sum(earned[position]),
            len(earned[position]),
        )
        for position, part in enumerate(asked, 1)
    ]
