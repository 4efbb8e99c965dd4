"""The practice log: an apprentice's own, the academy's, one session, and a file of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.practice import log
from academy.practice.export import as_csv
from academy.practice.forms.filters import Narrowing, OwnFilter
from academy.practice.models import Task
from academy.practice.pages import detail_page
from academy.practice.task_states import rows_of
from academy.practice.views.common import one_seen_by, seen_by, staff_filter, staff_title
from academy.web.paging import page_of

if TYPE_CHECKING:
    from academy.people.acting import Acting
    from academy.practice.models import SessionQuerySet
    from academy.practice.task_states import TaskRow

MOST_EXPORTED = 10_000


@require_safe
@acting()
def session_list(request: ActingRequest) -> HttpResponse:
    if request.acting.role == Role.APPRENTICE:
        return _own_list(request)
    return _staff_list(request)


@require_safe
@acting()
def session_detail(request: ActingRequest, token: str) -> HttpResponse:
    session = one_seen_by(request.acting, token)
    return render(request, "practice/session_detail.html", detail_page(request.acting, session))


@require_safe
@acting()
def session_export(request: ActingRequest) -> HttpResponse:
    sessions = seen_by(request.acting)
    chosen = sessions.filter(_narrowing(request, sessions).condition()).for_list()
    body = as_csv(chosen[:MOST_EXPORTED])
    day = timezone.localdate()
    return HttpResponse(
        body.encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="practice-{day:%Y-%m-%d}.csv"',
            "Cache-Control": "private, no-store",
        },
    )


def _narrowing(request: ActingRequest, sessions: SessionQuerySet) -> Narrowing:
    if request.acting.role == Role.APPRENTICE:
        return OwnFilter(request.GET, sessions=sessions)
    return staff_filter(request.acting, sessions, request.GET)


def _own_list(request: ActingRequest) -> HttpResponse:
    who = request.acting
    sessions = seen_by(who)
    narrowing = _narrowing(request, sessions)
    chosen = sessions.filter(narrowing.condition())
    page = page_of(request, chosen.for_list())
    weeks = log.weeks_of(sessions, timezone.localdate())
    modules = log.modules_so_far(who.person, who.academy)
    context = {
        "filter": narrowing,
        "page": page,
        "days": log.by_day(page.object_list),
        "totals": log.totals_of(sessions),
        "chosen": log.totals_of(chosen) if narrowing.narrows else None,
        "modules": modules,
        "next_module": log.next_of(modules),
        "weeks": weeks,
        "this_week": weeks[0],
        "waiting": sessions.waiting().count(),
        "tasks": [row for row in _tasks(who) if row.waits],
    }
    return render(request, "practice/session_list.html", context)


def _tasks(who: Acting) -> list[TaskRow]:
    rows = Task.objects.visible_to(who.person, who.academy).filter(apprentice=who.person)
    return rows_of(rows.standing().for_list())


def _staff_list(request: ActingRequest) -> HttpResponse:
    sessions = seen_by(request.acting)
    narrowing = _narrowing(request, sessions)
    chosen = sessions.filter(narrowing.condition())
    context = {
        "filter": narrowing,
        "page": page_of(request, chosen.for_list()),
        **staff_title(request.acting, sessions, narrowing),
    }
    return render(request, "practice/session_staff_list.html", context)
