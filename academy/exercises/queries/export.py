"""The results of a paper as lines of a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.text import capfirst

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from academy.exercises.queries.results import PersonRow, Results

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
# A spreadsheet takes a cell that begins like this for a sum and works it out.
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def lines_of(results: Results) -> Iterator[tuple[object, ...]]:
    """One line for each apprentice, in the order of `COLUMNS`; times are local."""
    sentences = {slip.words: slip.sentence for slip in results.slips}
    for row in results.rows:
        yield tuple(_plain(cell) for cell in _cells(row, sentences))


def _cells(row: PersonRow, sentences: Mapping[str, str]) -> tuple[object, ...]:
    sheet = row.sheet
    if sheet is None or sheet.submitted_at is None:
        return (row.person.name, row.words, 0, "", "", "", "", "", "", "", "")
    return (
        row.person.name,
        row.words,
        row.attempts,
        sheet.marks,
        sheet.possible,
        _yes(sheet.not_safe),
        _yes(row.passed),
        timezone.localtime(sheet.submitted_at).strftime("%Y-%m-%d %H:%M"),
        _yes(row.late),
        "; ".join(capfirst(slip) for slip in row.slips),
        " ".join(sentences[slip] for slip in row.slips),
    )


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"


def _plain(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(_FORMULA_SIGNS):
        return f"'{cell}"
    return cell
