"""What the page shows that explains an outcome: every step, and whether it still comes out so."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING, Any

from academy.assessment.submissions import not_as_recorded
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.explaining import Step, steps
from academy.craft.judging.recheck import Recheck, recheck
from academy.craft.judging.stored import marking_from, outcome_from

if TYPE_CHECKING:
    from academy.assessment.models import Assessment


_CAUSES = {
    "near_line": "near the pass line (step 8)",
    "rating_differs": "the overall rating differs (step 9)",
    "sample": "drawn by the sample",
    "request": "asked for by the assessor",
    "appeal": "asked for by an appeal",
}


@dataclass(frozen=True)
class Explained:
    """The outcome of a submitted assessment, fetched by `for_result`."""

    assessment: Assessment

    @property
    def values(self) -> dict[str, Any]:
        figures: dict[str, Any] = self.assessment.outcome.figures
        return figures

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Empty where what is stored cannot be read; `trouble` then says so."""
        try:
            marking = marking_from(self.values["marking"])
            return steps(marking, outcome_from(self.values["outcome"]))
        except (KeyError, JudgingError):
            return ()

    @cached_property
    def check(self) -> Recheck | None:
        """What deciding again gives; None where it cannot be decided again."""
        try:
            return recheck(self.values)
        except (KeyError, JudgingError):
            return None

    @property
    def trouble(self) -> str:
        """Why the outcome cannot be decided again; empty where it can."""
        try:
            recheck(self.values)
        except KeyError as error:
            return f"What is stored with this outcome is not whole: {error} is missing."
        except JudgingError as error:
            return str(error)
        return ""

    @property
    def causes(self) -> list[str]:
        """Why a second assessor was asked for, in words."""
        return [_CAUSES[cause] for cause in self.assessment.outcome.causes]

    @cached_property
    def rows_differ(self) -> list[tuple[str, str, str]]:
        """Where the rows of the database say something else than what the outcome came from."""
        if not self.steps:
            return []
        outcome, kept = self.assessment.outcome, self.values["outcome"]
        marking = self.values["marking"]
        pairs = [
            ("by the marks", kept["by_marks"], outcome.by_marks),
            ("causes of a second look", kept["causes"], outcome.causes),
            ("head mark", _decimal(kept["head_mark"]), outcome.head_mark),
            ("reasons", kept["reasons"], outcome.reasons),
            ("overall rating", marking["rating"], self.assessment.overall),
            ("minutes used", marking["minutes_used"], self.assessment.minutes_used),
            ("zones left out", marking["left_out"], self._left_out),
            ("levels", _sorted(marking["marks"]), self._levels),
        ]
        return [(what, str(old), str(new)) for what, old, new in pairs if old != new]

    @cached_property
    def not_as_recorded(self) -> list[str]:
        """In sentences, where this is not what the record holds of the submission."""
        return not_as_recorded(self.assessment)

    @property
    def same(self) -> bool:
        same = self.check is not None and self.check.same
        return same and not self.rows_differ and not self.not_as_recorded

    @property
    def _left_out(self) -> dict[str, str]:
        return {row.zone: row.reason for row in self.assessment.zones_left_out.all()}

    @property
    def _levels(self) -> list[list[Any]]:
        codes = {row.pk: row.code for row in self.assessment.module_version.criteria.all()}
        return _sorted(
            [codes[mark.criterion_id], mark.zone or None, mark.level]
            for mark in self.assessment.marks.all()
        )


def _sorted(marks: Any) -> list[list[Any]]:
    return sorted(marks, key=lambda mark: (mark[0], mark[1] or ""))


def _decimal(mark: str | None) -> Decimal | None:
    return None if mark is None else Decimal(mark)
