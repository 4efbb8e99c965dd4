"""What the database itself refuses to change: a supervisor's word, and tasks that were set."""

from __future__ import annotations

from academy.audit import triggers


def install() -> None:
    # Only the supervisor named on a session confirms it, who is never its apprentice.
    triggers.protect(
        "practice_sessionconfirmation",
        label="a supervisor's confirmation",
        insert_when=(
            "NOT EXISTS (SELECT 1 FROM practice_practicesession s WHERE s.id = NEW.session_id "
            "AND s.supervisor_id = NEW.supervisor_id AND s.apprentice_id <> NEW.supervisor_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    triggers.protect("practice_task", label="a task")
    triggers.protect(
        "practice_taskwithdrawal",
        label="a task taken back",
        insert_when=(
            "EXISTS (SELECT 1 FROM practice_task t "
            "WHERE t.id = NEW.task_id AND t.apprentice_id = NEW.educator_id)"
        ),
        update_when=triggers.ALWAYS,
    )
