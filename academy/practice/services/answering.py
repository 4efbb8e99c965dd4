"""The supervisor's word on a session, and the apprentice's second thought."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.practice import rules
from academy.practice.errors import PracticeError
from academy.practice.models import PracticeSession, SessionConfirmation

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.people.models import Person

LONGEST_ANSWER = 400


@transaction.atomic
def confirm_session(
    *, session: PracticeSession, supervisor: Person, confirmed: bool, note: str = ""
) -> SessionConfirmation:
    """The supervisor says that the session took place as logged, or that it did not (with a note).

    Raises `PracticeError` for anybody else, for a session taken back, and the second time.
    """
    session = _held(session)
    if not rules.may_confirm(supervisor, session):
        raise PracticeError("Only the supervisor named on a session can confirm it, and only once.")
    note = note.strip()
    if not confirmed and not note:
        raise PracticeError(
            "Say what was different, for example: not in the room that afternoon.", field="note"
        )
    if len(note) > LONGEST_ANSWER:
        raise PracticeError(
            f"Too long: {len(note)} characters, and {LONGEST_ANSWER} fit. Shorten it.", field="note"
        )
    confirmation = SessionConfirmation.objects.create(
        session=session, supervisor=supervisor, confirmed=confirmed, note=note
    )
    record(
        academy_id=session.academy_id,
        actor_id=supervisor.pk,
        action="practice.session.confirmed" if confirmed else "practice.session.not_confirmed",
        subject=session,
        details={"apprentice": session.apprentice_id},
    )
    return confirmation


@transaction.atomic
def confirm_sessions(*, sessions: Iterable[PracticeSession], supervisor: Person) -> int:
    """Confirm several sessions as logged, all or none; gives their number."""
    return len(
        [confirm_session(session=s, supervisor=supervisor, confirmed=True) for s in sessions]
    )


@transaction.atomic
def take_back_session(*, session: PracticeSession, apprentice: Person) -> PracticeSession:
    """The apprentice takes a session back within a day; it stays readable and no longer counts."""
    session = _held(session)
    now = timezone.now()
    if not rules.may_take_back(apprentice, session, now):
        raise PracticeError(
            f"A session can be taken back by its apprentice within {rules.TAKE_BACK_HOURS} hours, "
            "until the supervisor has answered. Ask your educator to help with an older one."
        )
    session.taken_back_at = now
    session.save(update_fields=["taken_back_at"])
    record(
        academy_id=session.academy_id,
        actor_id=apprentice.pk,
        action="practice.session.taken_back",
        subject=session,
        details={"apprentice": session.apprentice_id},
    )
    return session


def _held(session: PracticeSession) -> PracticeSession:
    """The session as it stands now, held until the transaction ends."""
    return PracticeSession.objects.select_for_update().get(pk=session.pk)
