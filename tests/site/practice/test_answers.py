from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.utils import timezone

from academy.audit.models import Entry
from academy.practice import services
from academy.practice.models import PracticeSession, SessionConfirmation
from academy.practice.queries import progress_of
from academy.practice.services import PracticeError

if TYPE_CHECKING:
    from academy.people.models import Person

Log = Callable[..., PracticeSession]


def logged_hours_ago(session: PracticeSession, hours: float) -> PracticeSession:
    session.logged_at = timezone.now() - timedelta(hours=hours)
    session.save(update_fields=["logged_at"])
    return session


def test_the_supervisor_confirms_once_with_one_entry(
    log: Log, educator: Person, one_entry: Any
) -> None:
    session = log(supervisor=educator)
    with one_entry("practice.session.confirmed"):
        services.confirm_session(session=session, supervisor=educator, confirmed=True)
    with pytest.raises(PracticeError, match="only once"):
        services.confirm_session(session=session, supervisor=educator, confirmed=True)
    assert SessionConfirmation.objects.count() == 1


def test_it_was_different_needs_a_note_and_takes_the_session_out_of_the_count(
    log: Log, educator: Person, apprentice: Person, one_entry: Any
) -> None:
    session = log(supervisor=educator, heads=2)
    with pytest.raises(PracticeError) as refused:
        services.confirm_session(session=session, supervisor=educator, confirmed=False, note=" ")
    assert refused.value.field == "note"
    assert progress_of(apprentice, session.module_version).lines[0].done == 2
    with one_entry("practice.session.not_confirmed"):
        services.confirm_session(
            session=session, supervisor=educator, confirmed=False, note="Another day."
        )
    assert progress_of(apprentice, session.module_version).lines[0].done == 0


def test_a_note_that_is_too_long_is_refused(log: Log, educator: Person) -> None:
    with pytest.raises(PracticeError, match="Too long"):
        services.confirm_session(
            session=log(supervisor=educator), supervisor=educator, confirmed=True, note="x" * 401
        )


def test_nobody_else_confirms_also_not_the_apprentice(
    log: Log, educator: Person, assessor: Person, apprentice: Person
) -> None:
    session = log(supervisor=educator)
    for person in (assessor, apprentice):
        with pytest.raises(PracticeError):
            services.confirm_session(session=session, supervisor=person, confirmed=True)


def test_several_are_confirmed_together_or_not_at_all(
    log: Log, educator: Person, assessor: Person
) -> None:
    mine, theirs = log(supervisor=educator), log(supervisor=assessor, days=2)
    entries = Entry.objects.count()
    with pytest.raises(PracticeError):
        services.confirm_sessions(sessions=[mine, theirs], supervisor=educator)
    assert (SessionConfirmation.objects.count(), Entry.objects.count()) == (0, entries)
    assert services.confirm_sessions(sessions=[mine], supervisor=educator) == 1


def test_a_session_is_taken_back_within_a_day_and_no_longer_counts(
    log: Log, apprentice: Person, educator: Person, one_entry: Any
) -> None:
    session = logged_hours_ago(log(supervisor=educator), 23.9)
    with one_entry("practice.session.taken_back"):
        session = services.take_back_session(session=session, apprentice=apprentice)
    assert session.state == PracticeSession.State.TAKEN_BACK
    assert progress_of(apprentice, session.module_version).lines[0].done == 0
    with pytest.raises(PracticeError):
        services.take_back_session(session=session, apprentice=apprentice)
    with pytest.raises(PracticeError):
        services.confirm_session(session=session, supervisor=educator, confirmed=True)


def test_a_day_later_it_stays(log: Log, apprentice: Person) -> None:
    session = logged_hours_ago(log(), 24.1)
    with pytest.raises(PracticeError, match="within 24 hours"):
        services.take_back_session(session=session, apprentice=apprentice)


def test_an_answered_session_stays(log: Log, apprentice: Person, educator: Person) -> None:
    session = log(supervisor=educator)
    stale = PracticeSession.objects.get(pk=session.pk)
    services.confirm_session(session=session, supervisor=educator, confirmed=True)
    with pytest.raises(PracticeError):
        services.take_back_session(session=stale, apprentice=apprentice)


def test_another_persons_session_is_not_taken_back(log: Log, educator: Person) -> None:
    with pytest.raises(PracticeError):
        services.take_back_session(session=log(), apprentice=educator)
