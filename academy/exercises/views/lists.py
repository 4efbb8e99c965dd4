"""The list of papers: all for staff, their own for an apprentice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import render
from django.views.decorators.http import require_safe

from academy.exercises.models import Paper
from academy.exercises.queries.lists import own_papers, own_rows, paper_rows
from academy.people.acting import ActingRequest, acting
from academy.people.models import Cohort, Role
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_safe
@acting()
def paper_list(request: ActingRequest) -> HttpResponse:
    if request.acting.role == Role.APPRENTICE:
        return _own_list(request)
    return _staff_list(request)


def _staff_list(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    cohorts = Cohort.objects.visible_to(request.acting.person, academy).order_by("name")
    papers = Paper.objects.visible_to(request.acting.person, academy).for_list()
    chosen = cohorts.filter(token=request.GET.get("cohort", "")).first()
    page = page_of(request, papers.filter(cohort=chosen) if chosen else papers)
    rows = paper_rows(list(page.object_list))
    context = {
        "page": page,
        "rows": rows,
        "missing": sum(row.places - row.handed_in for row in rows if row.state == "missing"),
        "cohorts": cohorts,
        "chosen": chosen,
        "sets": request.acting.role == Role.EDUCATOR,
    }
    return render(request, "exercises/paper_list.html", context)


def _own_list(request: ActingRequest) -> HttpResponse:
    person = request.acting.person
    page = page_of(request, own_papers(person, request.acting.academy).for_list(person).due_first())
    rows = own_rows(list(page.object_list), person)
    context = {
        "page": page,
        "to_do": [row for row in rows if row.to_do],
        "done": [row for row in rows if not row.to_do],
    }
    return render(request, "exercises/paper_list_own.html", context)
