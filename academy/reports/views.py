"""The first page of each role, and the pages behind a cell of the matrix."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.assessment.blind import heads_kept_from
from academy.audit.queries import history_of_person
from academy.audit.reading import readable
from academy.audit.sentences import render as render_entries
from academy.awards.models import Certificate
from academy.awards.queries import state_of
from academy.curriculum.models import Module
from academy.people.acting import acting
from academy.people.models import Membership, Person, Role
from academy.reports.cohorts import matrix, members
from academy.reports.heads import losses_sheet
from academy.reports.people import evidence_of, modules_of
from academy.reports.today import apprentice, assessor, educator, manager, verifier

if TYPE_CHECKING:
    from academy.people.acting import Acting, ActingRequest


@require_safe
@acting()
def today(request: ActingRequest) -> HttpResponse:
    """The acting role's question, answered."""
    role = request.acting.role
    if role is Role.EDUCATOR:
        return _educator(request)
    pages = {
        Role.APPRENTICE: apprentice.page,
        Role.ASSESSOR: assessor.page,
        Role.VERIFIER: verifier.page,
        Role.MANAGER: manager.page,
    }
    return render(
        request, f"reports/today_{role.value}.html", {"data": pages[role](request.acting)}
    )


def _educator(request: ActingRequest) -> HttpResponse:
    query = request.GET
    data = educator.page(request.acting, query.get("cohort", ""), query.get("module", ""))
    head = losses_sheet(data.losses) if data.losses else None
    return render(request, "reports/today_educator.html", {"data": data, "head": head})


@require_safe
@acting(Role.EDUCATOR, Role.MANAGER, Role.VERIFIER)
def matrix_export(request: ActingRequest) -> HttpResponse:
    """Where a cohort stands, one line per apprentice and module."""
    _, cohort = educator.chosen_cohort(request.acting, request.GET.get("cohort", ""))
    table = matrix(request.acting.academy, members(cohort) if cohort else [])
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="where-everyone-stands.csv"'
    response["Cache-Control"] = "private, no-store"
    response.write("\ufeff")
    writer = csv.writer(response)
    writer.writerow(["apprentice", "module", "standing", "in date until"])
    for row in table.rows:
        for column, cell in zip(table.columns, row.cells, strict=True):
            until = cell.signed.in_date_until.isoformat() if cell.signed else ""
            writer.writerow([row.person.name, column.title, cell.standing.name.lower(), until])
    return response


@require_safe
@acting()
def progress(request: ActingRequest, token: str) -> HttpResponse:
    """One apprentice in every module, with their history. Apprentices see themselves only."""
    person = _apprentice(request.acting, token)
    certificates = (
        Certificate.objects.visible_to(request.acting.person, request.acting.academy)
        .filter(holder=person)
        .prefetch_related("events")
    )
    entries = history_of_person(person.pk, academy_id=request.acting.academy.pk)
    academy_id, reader_id = request.acting.academy.pk, request.acting.person.pk
    history = readable(entries, reader_id=reader_id, academy_id=academy_id)[:40]
    return render(
        request,
        "reports/progress.html",
        {
            "person": person,
            "rows": modules_of(request.acting.academy, person),
            "certificates": [(row, state_of(row)) for row in certificates],
            "history": render_entries(history),
            "today": timezone.localdate(),
        },
    )


@require_safe
@acting()
def standing(request: ActingRequest, person: str, module: str) -> HttpResponse:
    """The evidence behind one cell: heads, practice, papers, sign-offs."""
    who = _apprentice(request.acting, person)
    where = get_object_or_404(
        Module.objects.visible_to(request.acting.person, request.acting.academy), token=module
    )
    # An undecided head mark is not shown to the apprentice (trade.md 5.2).
    withhold = who == request.acting.person
    kept = () if withhold else heads_kept_from(request.acting.person, request.acting.academy)
    data = evidence_of(request.acting.academy, who, where, withhold=withhold, kept=kept)
    own = withhold and request.acting.role is Role.APPRENTICE
    context = {
        "data": data,
        "assessed": data.assessed,
        "practised": data.practised,
        "may_ask": own and data.may_be_asked_for,
        "withhold": withhold,
    }
    return render(request, "reports/standing.html", context)


def _apprentice(acting: Acting, token: str) -> Person:
    """An apprentice of the academy, now or before; for an apprentice only themselves."""
    members = Membership.objects.filter(academy=acting.academy, role=Role.APPRENTICE)
    people = Person.objects.filter(memberships__in=members).distinct()
    if acting.roles == (Role.APPRENTICE,):
        people = people.filter(pk=acting.person.pk)
    return get_object_or_404(people, token=token)
