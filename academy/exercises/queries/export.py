"""Results and statistics of a paper as lines of tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.text import capfirst

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.exercise.statistics import Share
    from academy.exercises.queries.families import AllPapers
    from academy.exercises.queries.results import PersonRow, Results, Slip
    from academy.exercises.queries.statistics import Statistics

COLUMNS = (
    "Apprentice",
    "State",
    "Attempts",
    "Marks",
    "Possible",
    "Not safe",
    "Passed",
    "Handed in",
    "Late",
    "Slips",
    "What they are",
)


def lines_of(results: Results) -> Iterator[tuple[object, ...]]:
    """One line for each apprentice, in the order of `COLUMNS`; times are local."""
    sentences = {slip.words: slip.sentence for slip in results.slips}
    for row in results.rows:
        yield _cells(row, sentences)


def _cells(row: PersonRow, sentences: Mapping[str, str]) -> tuple[object, ...]:
    sheet = row.sheet
    if sheet is None or sheet.submitted_at is None:
        return (row.person.name, row.words, 0, "", "", "", "", "", "", "", "")
    return (
        row.person.name,
        row.words,
        row.attempts,
        sheet.stands.marks,
        sheet.stands.possible,
        _yes(sheet.stands.not_safe),
        _yes(row.passed),
        timezone.localtime(sheet.submitted_at).strftime("%Y-%m-%d %H:%M"),
        _yes(row.late),
        "; ".join(capfirst(slip) for slip in row.slips),
        " ".join(sentences[slip] for slip in row.slips),
    )


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"


QUESTIONS = (
    "Question",
    "Exercise",
    "Level",
    "Line",
    "Sheets",
    "Right",
    "Right, %",
    "At least, %",
    "At most, %",
    "Median minutes",
    "Separation",
    "In words",
    "Commonest slip",
    "Times",
)
SLIPS = ("Slip", "Exercise", "Times", "Apprentices", "What it is")
FAMILIES = ("Exercise", "Level", "Sheets", "Lines", "Earned", "Earned, %")


def question_lines(statistics: Statistics) -> Iterator[tuple[object, ...]]:
    """Each question and below it its lines, in the order of `QUESTIONS`; None where too few."""
    for question in statistics.questions:
        who = (question.position, question.title, question.level)
        separation = question.separation
        minutes = None if question.minutes is None else round(question.minutes, 1)
        figure = None if separation.correlation is None else round(separation.correlation, 2)
        said = (minutes, figure, separation.means.words)
        yield (*who, None, *_share(question.share), *said, None, None)
        for line in question.lines:
            slip = (capfirst(line.slip), line.slips) if line.slip else (None, None)
            yield (*who, line.label, *_share(line.share), None, None, None, *slip)


def slip_lines(slips: Iterable[Slip]) -> Iterator[tuple[object, ...]]:
    """In the order of `SLIPS`."""
    for slip in slips:
        yield capfirst(slip.words), slip.family, slip.count, slip.people, slip.sentence


def family_lines(found: AllPapers) -> Iterator[tuple[object, ...]]:
    """In the order of `FAMILIES`."""
    for row in found.rows:
        yield row.title, row.level, row.sheets, row.lines, row.earned, row.percent


def _share(share: Share) -> tuple[object, ...]:
    percent = None if share.interval is None else share.percent
    return share.sheets, share.right, percent, share.low, share.high
