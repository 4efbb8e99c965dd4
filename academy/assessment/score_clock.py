"""The time at the chair against the time allowed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from academy.assessment.marking import minutes_allowed, outcome_rules
from academy.assessment.services.scoring import MOST_MINUTES
from academy.craft.measure import shown

if TYPE_CHECKING:
    from datetime import datetime

    from academy.assessment.models import Assessment


@dataclass(frozen=True)
class Clock:
    """Seconds since the draft was begun; minutes allowed (None: not for the whole work).

    `most` are the minutes over which pace is noted, `over` says so in words.
    """

    seconds: int
    allowed: int | None
    most: Fraction | None
    over: str

    @property
    def runs(self) -> bool:
        """A draft of another day has no clock: nobody worked that long."""
        return self.seconds <= 60 * MOST_MINUTES

    @property
    def minutes(self) -> str:
        """Minutes and seconds, "34:07"."""
        return f"{self.seconds // 60}:{self.seconds % 60:02}"

    @property
    def most_seconds(self) -> int | None:
        return None if self.most is None else int(self.most * 60)

    @property
    def late(self) -> str:
        """How far over the time it is: empty, "time" or "pace"."""
        if self.allowed is None or self.most is None or self.seconds <= 60 * self.allowed:
            return ""
        return "pace" if self.seconds > 60 * self.most else "time"


def clock_of(assessment: Assessment, now: datetime) -> Clock:
    """The clock of a draft at a moment. The rule of pace is the rule set's."""
    allowed = minutes_allowed(assessment.module_version)
    share = outcome_rules(assessment.rule_set).overtime_share
    return Clock(
        seconds=max(0, int((now - assessment.started_at).total_seconds())),
        allowed=allowed,
        most=None if allowed is None else allowed * (1 + Fraction(share)),
        over=f"more than {shown(100 * share)} % over",
    )
