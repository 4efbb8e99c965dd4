"""Times on a head: the pace of foils, and the plan of a two-process service."""

from __future__ import annotations

from academy.craft.timing.errors import TimingError
from academy.craft.timing.pace import foils_within, minutes_for, pace_of
from academy.craft.timing.two_process import Event, TwoProcess

__all__ = ["Event", "TimingError", "TwoProcess", "foils_within", "minutes_for", "pace_of"]
