"""Days as people write them, for sentences made in Python; templates have the filter `day`."""

from __future__ import annotations

from datetime import date, datetime

from django.utils import timezone
from django.utils.dateformat import format as date_format


def written(day: date) -> str:
    """For example 9 Sep 2028; a moment is taken in the academy's time zone."""
    return date_format(_local(day), "j M Y")


def written_short(day: date) -> str:
    """Without the year: 9 Sep."""
    return date_format(_local(day), "j M")


def written_moment(moment: datetime) -> str:
    """Weekday, day and time: Thursday 9 Sep, 14:05."""
    return date_format(_local(moment), "l j M, H:i")


def _local(day: date) -> date:
    if isinstance(day, datetime) and timezone.is_aware(day):
        return timezone.localtime(day)
    return day
