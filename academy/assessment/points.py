"""Which points of feedback count: corrected ones stand in the place of what they correct."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.assessment.models import Feedback


def counting(rows: Iterable[Feedback]) -> list[Feedback]:
    """Rows of one head that no later one corrects, each point at the place of its first row."""
    all_rows = list(rows)
    corrects = {row.pk: row.corrects_id for row in all_rows}
    gone = set(corrects.values())
    counted = [row for row in all_rows if row.pk not in gone]
    return sorted(counted, key=lambda row: _first(row.pk, corrects))


def _first(pk: int, corrects: dict[int, int | None]) -> int:
    while (earlier := corrects.get(pk)) is not None:
        pk = earlier
    return pk
