"""By which day an apprentice says that they have read a result sheet (trade.md 5.4)."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.curriculum.house import rules_of

if TYPE_CHECKING:
    from datetime import date

    from academy.assessment.models import Assessment
    from academy.curriculum.models import RuleSet


def days_to_read(rule_set: RuleSet | None) -> int:
    return int(rules_of(rule_set).number("judging", what="acknowledge_days"))


def read_by(assessment: Assessment, days: int) -> date | None:
    """The last day for it; None while the sheet is not shown whole, or once it was withdrawn.

    The days run from the moment the apprentice can read all of it: the submission, the second
    mark that agrees, or the ruling.
    """
    if assessment.withdrawn or assessment.submitted_at is None or assessment.shown == "second":
        return None
    moments = [assessment.submitted_at]
    if assessment.second is not None and assessment.second.submitted_at is not None:
        moments.append(assessment.second.submitted_at)
    ruling = getattr(assessment, "ruling", None)
    if ruling is not None:
        moments.append(ruling.at)
    return timezone.localdate(max(moments)) + timedelta(days=days)


def not_acknowledged(assessment: Assessment, days: int, today: date) -> bool:
    """Whether the time to say "read" is over without an answer."""
    last = read_by(assessment, days)
    return last is not None and today > last and not hasattr(assessment, "acknowledgement")
