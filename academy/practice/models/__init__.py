"""Practice sessions with their units and strand checks, and tasks that educators set."""

from __future__ import annotations

from academy.practice.models.sessions import (
    PracticeSession as PracticeSession,
    SessionConfirmation as SessionConfirmation,
    SessionQuerySet as SessionQuerySet,
    StrandCheck as StrandCheck,
    UnitsDone as UnitsDone,
)
from academy.practice.models.tasks import (
    Task as Task,
    TaskQuerySet as TaskQuerySet,
    TaskWithdrawal as TaskWithdrawal,
)
