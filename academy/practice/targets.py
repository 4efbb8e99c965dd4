"""How far practice fills a module's target. Plain values, no database.

What was done counts towards every line it fits: two resistant heads fill both "heads 5" and
"heads 3 resistant", two plain heads only the first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.practice.words import counted_words, far_words, kind_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.curriculum.content import PracticeUnit, TargetLine


@dataclass(frozen=True)
class Done:
    """So many of one unit, of one kind where `tag` says so."""

    unit: PracticeUnit
    count: int
    tag: str = ""


@dataclass(frozen=True)
class LineProgress:
    """One line of the target and what was done towards it."""

    line: TargetLine
    done: int

    @property
    def words(self) -> str:
        """The line in words, for example "Heads, resistant"."""
        return kind_words(self.line.unit.value, self.line.tag)

    @property
    def missing_words(self) -> str:
        """What is missing, for example "2 heads, resistant"."""
        return counted_words(self.missing, self.line.unit.value, self.line.tag)

    @property
    def far_words(self) -> str:
        """How far it is, for example "3 of 5" or "5 of 5, reached and 1 beyond"."""
        return far_words(self.done, self.line.count)

    @property
    def missing(self) -> int:
        return max(0, self.line.count - self.done)

    @property
    def met(self) -> bool:
        return self.missing == 0

    @property
    def share(self) -> float:
        """Part of the line that is filled, 0 to 1."""
        return min(1.0, self.done / self.line.count)


@dataclass(frozen=True)
class Progress:
    """Every line of a module's target."""

    lines: tuple[LineProgress, ...]

    @property
    def met(self) -> bool:
        return all(line.met for line in self.lines)

    @property
    def share(self) -> float:
        """Mean part filled over the lines; 1 for a module without a target."""
        if not self.lines:
            return 1.0
        return sum(line.share for line in self.lines) / len(self.lines)

    @property
    def next_line(self) -> LineProgress | None:
        """The line that is filled least, or None when the target is met."""
        open_lines = [line for line in self.lines if not line.met]
        return min(open_lines, key=lambda line: line.share, default=None)


def progress(target: Sequence[TargetLine], done: Iterable[Done]) -> Progress:
    """Count what was done towards each line of a target."""
    rows = list(done)
    return Progress(
        tuple(
            LineProgress(
                line,
                sum(
                    row.count
                    for row in rows
                    if row.unit == line.unit and (not line.tag or row.tag == line.tag)
                ),
            )
            for line in target
        )
    )
