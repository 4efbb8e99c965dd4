"""What the database itself refuses to change: a supervisor's word on a session."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    triggers.protect("practice_sessionconfirmation", label="a supervisor's confirmation")
