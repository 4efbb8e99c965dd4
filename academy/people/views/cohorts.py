"""Cohorts: the list, one cohort, making, changing and ending one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.people import queries, services
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import CohortForm, LastDayForm, PlaceForm, educators_initial, posted
from academy.people.models import Cohort, Role
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse, HttpResponseRedirect


@require_safe
@acting(Role.MANAGER, Role.EDUCATOR)
def cohort_list(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    cohorts = Cohort.objects.visible_to(request.acting.person, academy)
    context = {
        "page": page_of(request, cohorts.for_list()),
        "going_on": cohorts.open().count(),
        "without": queries.apprentices_without_place(academy).count(),
    }
    return render(request, "people/cohort_list.html", context)


@require_safe
@acting(Role.MANAGER, Role.EDUCATOR)
def cohort_detail(request: ActingRequest, token: str) -> HttpResponse:
    visible = Cohort.objects.visible_to(request.acting.person, request.acting.academy)
    return show_cohort(request, get_object_or_404(visible, token=token))


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def cohort_new(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    form = CohortForm(posted(request), academy=academy)
    if form.is_valid():
        try:
            cohort = services.make_cohort(
                academy=academy, by=request.acting.person, **form.cleaned_data
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Made. {cohort.name} is ready for its apprentices.")
            return to_cohort(request, cohort)
    return render(request, "people/cohort_edit.html", {"form": form, "cohort": None})


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def cohort_change(request: ActingRequest, token: str) -> HttpResponse:
    academy = request.acting.academy
    cohort = get_object_or_404(Cohort, academy=academy, token=token)
    form = CohortForm(posted(request), academy=academy, initial=educators_initial(cohort))
    if form.is_valid():
        try:
            cohort = services.change_cohort(
                cohort=cohort, by=request.acting.person, **form.cleaned_data
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Saved. {cohort.name} stands as you wrote it.")
            return to_cohort(request, cohort)
    return render(request, "people/cohort_edit.html", {"form": form, "cohort": cohort})


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def cohort_end(request: ActingRequest, token: str) -> HttpResponse:
    cohort = get_object_or_404(Cohort, academy=request.acting.academy, token=token)
    form = LastDayForm(posted(request))
    if form.is_valid():
        try:
            services.end_cohort(cohort=cohort, by=request.acting.person, **form.cleaned_data)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Ended. {cohort.name} and its places have a last day.")
            return to_cohort(request, cohort)
    held = cohort.places.open().count()
    return render(request, "people/cohort_end.html", {"form": form, "cohort": cohort, "held": held})


def to_cohort(request: ActingRequest, cohort: Cohort) -> HttpResponseRedirect:
    slug = request.acting.academy.slug
    return redirect("people:cohort-detail", academy=slug, token=cohort.token)


def show_cohort(
    request: ActingRequest, cohort: Cohort, *, place_form: PlaceForm | None = None
) -> HttpResponse:
    """One cohort's page; a form that was refused is shown with what was typed."""
    academy = request.acting.academy
    now, past = queries.places_in(cohort)
    context = {
        "cohort": cohort,
        "educators": cohort.educators.order_by("name"),
        "now": now,
        "past": past,
        "manages": request.acting.role == Role.MANAGER,
        "over": cohort.ended(),
        "place_form": place_form or PlaceForm(academy=academy),
    }
    return render(request, "people/cohort_detail.html", context)
