"""Days counted from the day the demo is loaded, and moments in the academy's time zone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from academy.craft.judging.readiness import months_before

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

MORNING = time(8, 30)
EVENING = time(17, 40)


@dataclass(frozen=True)
class Calendar:
    """Day 0 is `now`'s day in the academy's time zone."""

    now: datetime
    zone: ZoneInfo

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()

    def date(self, day: int) -> date:
        return self.today + timedelta(days=day)

    def at(self, day: int, minute: int) -> datetime:
        """A moment of a day; `minute` counts from midnight."""
        hours, minutes = divmod(minute, 60)
        return datetime.combine(self.date(day), time(hours, minutes), self.zone)

    @property
    def latest(self) -> datetime:
        """What is still open on day 0 was begun this morning, or the evening before."""
        this_morning = datetime.combine(self.today, MORNING, self.zone)
        if this_morning <= self.now:
            return this_morning
        return datetime.combine(self.date(-1), EVENING, self.zone)

    def signed_for(self, lapses: int, months: int) -> int:
        """The day on which a sign-off was given that lapses on the day `lapses`."""
        return (months_before(self.date(lapses), months) - self.today).days
