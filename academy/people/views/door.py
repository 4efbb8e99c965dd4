"""Where people come in: which academy, which role, and the demo's people."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from academy.people import queries
from academy.people.acting import ActingRequest, acting, session_key
from academy.people.demo import PASSWORD, DemoPerson, demo_people
from academy.people.models import Person, Role

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@require_safe
def academies(request: HttpRequest) -> HttpResponse:
    """Straight home with one academy and role; else the choice, or whom to ask."""
    person: Person | AnonymousUser = request.user
    if not isinstance(person, Person):
        raise Http404
    places = queries.places_of(person)
    if not places:
        return render(request, "people/nowhere.html", {"asks": queries.whom_to_ask(person)})
    if len(places) == 1 and len(places[0].roles) == 1:
        return redirect(home_of(places[0].academy.slug))
    return render(request, "people/academies.html", {"places": places})


@require_POST
@acting()
def role_choose(request: ActingRequest) -> HttpResponse:
    """Act in another of one's own roles from now on, on this device."""
    chosen = request.POST.get("role", "")
    if chosen not in {role.value for role in request.acting.roles}:
        raise Http404
    request.session[session_key(request.acting.academy)] = chosen
    return redirect(home_of(request.acting.academy.slug))


@login_not_required
@never_cache
def demo(request: HttpRequest) -> HttpResponse:
    """The demo's people by role; a press signs in. No such page unless this is the demo."""
    if not settings.BLOCKWORK_DEMO:
        raise Http404
    people = demo_people()
    if request.method == "POST":
        return _sign_in_as(request, people)
    order = list(Role)
    ordered = sorted(people, key=lambda one: order.index(one.role))
    groups = [(role, list(some)) for role, some in groupby(ordered, key=lambda one: one.role)]
    return render(request, "people/demo.html", {"groups": groups, "password": PASSWORD})


def _sign_in_as(request: HttpRequest, people: list[DemoPerson]) -> HttpResponse:
    token = request.POST.get("person", "")
    if token not in {one.token for one in people}:
        raise Http404
    login(request, get_object_or_404(Person, token=token, is_active=True), backend=BACKEND)
    return redirect("people:academies")


def home_of(slug: str) -> str:
    """The first page of a role in an academy."""
    return reverse("reports:today", kwargs={"academy": slug})
