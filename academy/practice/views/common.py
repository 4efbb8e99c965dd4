"""What the practice views share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.shortcuts import get_object_or_404

from academy.people.models import Role
from academy.practice import log
from academy.practice.forms.filters import Narrowing, StaffFilter
from academy.practice.models import PracticeSession

if TYPE_CHECKING:
    from django.http import QueryDict

    from academy.people.acting import Acting
    from academy.practice.models import SessionQuerySet


def seen_by(acting: Acting) -> SessionQuerySet:
    """The sessions this person sees in the role they act in: an apprentice only their own."""
    sessions = PracticeSession.objects.visible_to(acting.person, acting.academy)
    if acting.role == Role.APPRENTICE:
        return sessions.filter(apprentice=acting.person)
    return sessions


def one_seen_by(acting: Acting, token: str) -> PracticeSession:
    """One session with all that its page shows, or 404. Own ones are seen in every role."""
    visible = PracticeSession.objects.visible_to(acting.person, acting.academy)
    return get_object_or_404(visible.for_list(), token=token)


def staff_filter(acting: Acting, sessions: SessionQuerySet, chosen: QueryDict) -> StaffFilter:
    return StaffFilter(chosen, sessions=sessions, academy=acting.academy, person=acting.person)


def staff_title(acting: Acting, sessions: SessionQuerySet, narrowing: Narrowing) -> dict[str, Any]:
    """What the title block of the academy's sessions counts."""
    return {
        "totals": log.totals_of(sessions.filter(narrowing.condition())),
        "mine": sessions.waiting().filter(supervisor=acting.person).count(),
        "waiting": sessions.waiting().count(),
        "past_ceiling": log.past_ceiling(sessions).count(),
        "answers": "waiting" in narrowing.chosen,
        "narrowed": narrowing.narrows,
    }
