"""What became of the slips that a follow-up asked for: gone, shown again, or not reached."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import family_of
from academy.exercises.following import last_sheets, part_at
from academy.exercises.models import Answer, CorrectedQuestion, Question
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.standing import StandingAnswer, standing_answers
from academy.exercises.services.draws import recipients

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from academy.exercises.models import AnswerSheet, Paper, PaperPart
    from academy.people.models import Person

GONE, AGAIN, OPEN = "gone", "again", "open"
MARKS = {GONE: "right", AGAIN: "wrong", OPEN: "missing"}
WORDS = {GONE: "gone", AGAIN: "shown again", OPEN: "not reached"}
_EARNED = (Answer.Verdict.RIGHT, Answer.Verdict.FOLLOW_THROUGH)


@dataclass(frozen=True)
class Outcome:
    """One slip that was asked for again. Gone: every line in which it would show is right."""

    part: PaperPart
    state: str

    @property
    def slip(self) -> str:
        return slip_words(self.part.slip)

    @property
    def title(self) -> str:
        return family_of(self.part.family).title

    @property
    def mark(self) -> str:
        return MARKS[self.state]

    @property
    def words(self) -> str:
        return WORDS[self.state]


@dataclass(frozen=True)
class PersonOutcome:
    """One apprentice of a follow-up; without a sheet nothing was reached."""

    person: Person
    sheet: AnswerSheet | None
    slips: tuple[Outcome, ...]


@dataclass(frozen=True)
class Outcomes:
    """A follow-up as its page shows it."""

    people: list[PersonOutcome]

    def count(self, state: str) -> int:
        return sum(slip.state == state for person in self.people for slip in person.slips)

    @property
    def gone(self) -> int:
        return self.count(GONE)

    @property
    def again(self) -> int:
        return self.count(AGAIN)

    @property
    def open(self) -> int:
        return self.count(OPEN)


def outcomes_of(paper: Paper) -> Outcomes:
    """Every apprentice of a follow-up, by their last handed-in sheet. Seven queries."""
    people = list(recipients(paper))
    sheets = last_sheets(paper, people)
    parts = list(paper.parts.all())
    found = _outcomes(paper, parts, list(sheets.values()))
    untouched = {
        person.pk: tuple(Outcome(part, OPEN) for part in parts if part.apprentice_id == person.pk)
        for person in people
    }
    return Outcomes(
        [
            PersonOutcome(person, sheets.get(person.pk), found.get(person.pk, untouched[person.pk]))
            for person in people
        ]
    )


def outcomes_on(sheet: AnswerSheet) -> tuple[Outcome, ...]:
    """The slips of one handed-in sheet; none where its paper follows nothing. Five queries."""
    if not sheet.paper.follows_id:
        return ()
    parts = list(sheet.paper.parts.filter(apprentice=sheet.apprentice_id))
    return _outcomes(sheet.paper, parts, [sheet]).get(sheet.apprentice_id, ())


def _outcomes(
    paper: Paper, parts: Sequence[PaperPart], sheets: Sequence[AnswerSheet]
) -> dict[int, tuple[Outcome, ...]]:
    """By the apprentice's id. Four queries."""
    attempts = {sheet.apprentice_id: sheet.attempt for sheet in sheets}
    asked_of = Question.objects.filter(paper=paper, edition=paper.edition, apprentice__in=attempts)
    drawn = asked_of.values_list("pk", "apprentice", "attempt", "position", "drawn__mistakes")
    corrections = CorrectedQuestion.objects.filter(question__in=asked_of).order_by("pk")
    corrected = dict(corrections.values_list("question", "drawn__mistakes"))
    asked: dict[int, list[tuple[int, set[str]]]] = defaultdict(list)
    places = {person: part_at(parts, person) for person in attempts}
    for pk, person, attempt, position, mistakes in drawn:
        if attempts[person] == attempt:
            slip = places[person][position].slip
            now = corrected.get(pk, mistakes)
            fields = {field for name, field, *_ in now if name == slip}
            asked[places[person][position].pk].append((pk, fields))
    answers = list(Answer.objects.filter(sheet__in=[sheet.pk for sheet in sheets]))
    standing = standing_answers(answers)
    lines: dict[int, dict[str, StandingAnswer]] = defaultdict(dict)
    for answer in answers:
        lines[answer.question_id][answer.field] = standing[answer.pk]
    return {
        person: tuple(
            Outcome(part, _state(part.slip, asked[part.pk], lines))
            for part in parts
            if part.apprentice_id == person
        )
        for person in attempts
    }


def _state(
    slip: str,
    questions: Iterable[tuple[int, set[str]]],
    lines: Mapping[int, Mapping[str, StandingAnswer]],
) -> str:
    states = [_state_of_one(slip, fields, lines[pk]) for pk, fields in questions]
    if AGAIN in states:
        return AGAIN
    return GONE if states and all(state == GONE for state in states) else OPEN


def _state_of_one(slip: str, fields: set[str], lines: Mapping[str, StandingAnswer]) -> str:
    if any(line.mistake == slip for line in lines.values()):
        return AGAIN
    right = all(key in lines and lines[key].verdict in _EARNED for key in fields)
    return GONE if right else OPEN
