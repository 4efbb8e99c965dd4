"""Until when a "not yet" may be appealed, and how long is left for an answer. Working days follow
the academy's closed days (trade.md 5.5).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.craft.judging.deadlines import working_day_after, working_days_left
from academy.craft.measure import counted
from academy.curriculum.house import rules_today
from academy.people.models import ClosedDay

if TYPE_CHECKING:
    from datetime import date

    from academy.assessment.models import Assessment
    from academy.people.models import Academy


@dataclass(frozen=True)
class Terms:
    """The academy's terms for appeals, today."""

    appeal_days: int
    answer_days: int
    closed: frozenset[date]
    today: date

    @classmethod
    def of(cls, academy: Academy) -> Terms:
        """One query beside the rules."""
        rules = rules_today(academy)
        return cls(
            appeal_days=int(rules.number("judging", what="appeal_days")),
            answer_days=int(rules.number("judging", what="appeal_answer_days")),
            closed=ClosedDay.objects.days_of(academy),
            today=timezone.localdate(),
        )

    def appeal_until(self, assessment: Assessment) -> date:
        """The last day for an appeal, counted from the day on which the "not yet" stood."""
        return working_day_after(decided_on(assessment), self.appeal_days, self.closed)

    def answer_by(self) -> date:
        """The last day for the answer to an appeal made today."""
        return working_day_after(self.today, self.answer_days, self.closed)

    def left_words(self, last: date) -> str:
        """For example "6 working days left", "last day today" or "2 working days late"."""
        left = working_days_left(self.today, last, self.closed)
        if last < self.today:
            return f"{counted(max(1, -left), 'working day')} late"
        return f"{counted(left, 'working day')} left" if left else "last day today"


def decided_on(assessment: Assessment) -> date:
    """The day on which the outcome of a head stood: with its second mark and ruling, if any."""
    moments = [assessment.submitted_at]
    if assessment.second is not None:
        moments.append(assessment.second.submitted_at)
    ruling = getattr(assessment, "ruling", None)
    if ruling is not None:
        moments.append(ruling.at)
    return timezone.localdate(max(moment for moment in moments if moment is not None))
