"""What the database itself refuses to change: a supervisor's word, and tasks that were set."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    triggers.protect("practice_sessionconfirmation", label="a supervisor's confirmation")
    triggers.protect("practice_task", label="a task")
    triggers.protect("practice_taskwithdrawal", label="a task taken back")
