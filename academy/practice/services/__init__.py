"""What can be done with practice sessions."""

from __future__ import annotations

from academy.practice.errors import PracticeError
from academy.practice.services.answering import (
    confirm_session,
    confirm_sessions,
    take_back_session,
)
from academy.practice.services.logbook import log_session
from academy.practice.services.tasks import Wanted, set_tasks, withdraw_task
from academy.practice.sitting import Check, Sitting

__all__ = [
    "Check",
    "PracticeError",
    "Sitting",
    "Wanted",
    "confirm_session",
    "confirm_sessions",
    "log_session",
    "set_tasks",
    "take_back_session",
    "withdraw_task",
]
