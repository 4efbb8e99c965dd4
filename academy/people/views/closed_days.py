"""The days on which the academy is closed: a small table for the manager."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from academy.people import services
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import ClosedDayForm, posted
from academy.people.models import ClosedDay, Role
from academy.web.days import written
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def closed_days(request: ActingRequest) -> HttpResponse:
    """The list, those to come first, and one more day."""
    academy = request.acting.academy
    form = ClosedDayForm(posted(request))
    if form.is_valid():
        try:
            row = services.close_day(academy=academy, by=request.acting.person, **form.cleaned_data)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Closed on {written(row.day)}.")
            return redirect("people:closed-days", academy.slug)
    rows = ClosedDay.objects.filter(academy=academy).order_by("-day")
    context = {"form": form, "page": page_of(request, rows), "today": timezone.localdate()}
    return render(request, "people/closed_days.html", context)


@require_POST
@acting(Role.MANAGER)
def closed_day_remove(request: ActingRequest, token: str) -> HttpResponse:
    """The academy is open on that day after all."""
    academy = request.acting.academy
    row = get_object_or_404(ClosedDay, academy=academy, token=token)
    services.open_day(closed=row, by=request.acting.person)
    messages.success(request, f"Open on {written(row.day)}.")
    return redirect("people:closed-days", academy.slug)
