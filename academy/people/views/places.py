"""Places in cohorts: giving one, moving to another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from academy.people import services
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import MoveForm, PlaceForm
from academy.people.models import Cohort, CohortPlace, Role
from academy.people.views.cohorts import show_cohort
from academy.people.views.members import member_or_404, show_member, to_member

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_POST
@acting(Role.MANAGER)
def place_new(request: ActingRequest, token: str) -> HttpResponse:
    acting_now = request.acting
    cohort = get_object_or_404(Cohort, academy=acting_now.academy, token=token)
    form = PlaceForm(request.POST, academy=acting_now.academy)
    if form.is_valid():
        person, since = form.cleaned_data["person"], form.cleaned_data["since"]
        try:
            services.place_in_cohort(
                person=person, cohort=cohort, by=acting_now.person, since=since
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Placed. {person.name} is in {cohort.name}.")
            return redirect(
                "people:cohort-detail", academy=acting_now.academy.slug, token=cohort.token
            )
    return show_cohort(request, cohort, place_form=form)


@require_POST
@acting(Role.MANAGER)
def place_change(request: ActingRequest, token: str) -> HttpResponse:
    """Move an apprentice, or give them their first place."""
    person, academy = member_or_404(request, token), request.acting.academy
    form = MoveForm(request.POST, academy=academy)
    if form.is_valid():
        cohort, day = form.cleaned_data["cohort"], form.cleaned_data["since"]
        held = CohortPlace.objects.open(day).filter(person=person, cohort__academy=academy)
        by = request.acting.person
        try:
            if held.exists():
                services.move_to_cohort(person=person, cohort=cohort, by=by, on=day)
            else:
                services.place_in_cohort(person=person, cohort=cohort, by=by, since=day)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Placed. {person.name} is in {cohort.name}.")
            return to_member(request, person)
    return show_member(request, person, move_form=form)
