"""What an educator can do with a paper today, for the buttons of its page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.exercises import rules

if TYPE_CHECKING:
    from academy.exercises.models import Paper
    from academy.exercises.queries.results import Results


@dataclass(frozen=True)
class PaperDeeds:
    """Nothing is asked of the database: the page has read it all."""

    change: bool
    close: bool
    follow: bool
    set_like: bool
    withdraw: bool

    @classmethod
    def of(cls, paper: Paper, results: Results) -> PaperDeeds:
        """A paper is changed while nobody has begun; slips are followed once they are shown."""
        untouched = not any(row.begun or row.sheet for row in results.rows)
        return cls(
            change=untouched and not paper.withdrawn and not paper.follows_id,
            close=rules.may_close(paper),
            follow=paper.shows_solution and bool(results.handed_in),
            set_like=not paper.follows_id,
            withdraw=not paper.withdrawn,
        )
