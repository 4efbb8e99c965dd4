"""Rows whose sums stand in the record, compared with it: apps above say how.

The chain proves what was recorded, not that the rows of today are still those. A comparison reads
both. It is registered at start-up and runs after the whole chain was followed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Unlike:
    """A row that is not what was recorded of it, or is gone, with a sentence.

    `entry` is the number of the entry that tells of it; None where there is none.
    """

    subject: tuple[str, int]
    entry: int | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Compared:
    """How many rows were compared, and those that are not as recorded."""

    count: int
    unlike: tuple[Unlike, ...]


# The id of an academy -> what comparing gave.
Comparison = Callable[[int], Compared]

_comparisons: dict[str, Comparison] = {}


def compare(what: str, comparison: Comparison) -> None:
    """Have these rows compared, called `what` in sentences. Saying it twice changes nothing."""
    _comparisons[what] = comparison


def compared(academy_id: int) -> dict[str, Compared]:
    """Every comparison of an academy by what it compares."""
    return {what: comparison(academy_id) for what, comparison in _comparisons.items()}


def unlike(academy_id: int) -> list[Unlike]:
    """All rows that are not as recorded."""
    return [row for found in compared(academy_id).values() for row in found.unlike]
