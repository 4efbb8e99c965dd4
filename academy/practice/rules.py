"""Who may do what with a practice session, and when."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from academy.people.models import Academy, Person, Role, held_roles_of

if TYPE_CHECKING:
    from academy.practice.models import PracticeSession, Task

TAKE_BACK_HOURS = 24


def may_log(person: Person, academy: Academy) -> bool:
    """Only apprentices keep a practice log."""
    return Role.APPRENTICE in held_roles_of(person, academy)


def may_supervise(person: Person, academy: Academy) -> bool:
    """Educators and assessors stand beside the block."""
    return bool({Role.EDUCATOR, Role.ASSESSOR} & set(held_roles_of(person, academy)))


def is_supervisor(person: Person, session: PracticeSession) -> bool:
    """Whether this person is named as the one who stood beside the block."""
    return session.supervisor_id == person.pk and session.apprentice_id != person.pk


def may_confirm(person: Person, session: PracticeSession) -> bool:
    """Only the supervisor named, once, and not for a session that was taken back."""
    return (
        is_supervisor(person, session)
        and session.taken_back_at is None
        and not hasattr(session, "confirmation")
    )


def may_take_back(person: Person, session: PracticeSession, now: datetime) -> bool:
    """The apprentice, within a day of logging, and before the supervisor has answered."""
    return (
        session.apprentice_id == person.pk
        and session.taken_back_at is None
        and not hasattr(session, "confirmation")
        and now - session.logged_at <= timedelta(hours=TAKE_BACK_HOURS)
    )


def may_set_tasks(person: Person, academy: Academy) -> bool:
    """Educators say what is practised until when."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_withdraw_task(person: Person, task: Task) -> bool:
    """An educator of the academy, and never one's own."""
    return person.pk != task.apprentice_id and may_set_tasks(person, task.academy)
