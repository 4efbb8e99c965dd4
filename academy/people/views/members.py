"""Members of an academy: the list, one person, their roles, whom to call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from academy.audit.queries import history_of_person
from academy.audit.reading import readable
from academy.audit.sentences import render as sentences_of
from academy.people import queries, services
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import (
    GuardianForm,
    LastDayForm,
    MemberSearchForm,
    MoveForm,
    RoleForm,
    posted,
)
from academy.people.models import (
    CohortPlace,
    Guardian,
    Invitation,
    Membership,
    Person,
    Role,
    held_roles_of,
)
from academy.people.services.invitations import article
from academy.web.days import written
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse, HttpResponseRedirect

LINES_OF_HISTORY = 20


@require_safe
@acting(Role.MANAGER)
def member_list(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    search = MemberSearchForm(request.GET or {"state": queries.HERE}, academy=academy)
    wanted = search.found()
    people = queries.for_member_list(queries.found_members(academy, **wanted), academy)
    context = {
        "search": search,
        "page": page_of(request, people),
        "head": queries.head_of(academy),
        "narrowed": any(wanted[key] for key in ("words", "role", "cohort")),
        "left": wanted["state"] == queries.LEFT,
    }
    return render(request, "people/member_list.html", context)


@require_safe
@acting(Role.MANAGER)
def member_detail(request: ActingRequest, token: str) -> HttpResponse:
    person = member_or_404(request, token)
    return show_member(request, person)


@require_POST
@acting(Role.MANAGER)
def role_give(request: ActingRequest, token: str) -> HttpResponse:
    person = member_or_404(request, token)
    academy = request.acting.academy
    form = RoleForm(request.POST, held=held_roles_of(person, academy))
    if form.is_valid():
        role = form.cleaned_data["role"]
        try:
            services.give_role(person=person, academy=academy, role=role, by=request.acting.person)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Given. {person.name} is {article(role)} from today.")
            return to_member(request, person)
    return show_member(request, person, role_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def membership_end(request: ActingRequest, token: str) -> HttpResponse:
    academy = request.acting.academy
    rows = Membership.objects.filter(academy=academy).select_related("person", "academy")
    membership = get_object_or_404(rows, token=token)
    form = LastDayForm(posted(request))
    if form.is_valid():
        day = form.cleaned_data["last_day"]
        try:
            services.end_membership(membership=membership, by=request.acting.person, last_day=day)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            words = f"{membership.person.name} is {article(membership.role)} until {written(day)}."
            messages.success(request, f"Ended. {words}")
            return to_member(request, membership.person)
    context = {"membership": membership, "form": form}
    return render(request, "people/membership_end.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def guardian_edit(request: ActingRequest, token: str) -> HttpResponse:
    person, academy = member_or_404(request, token), request.acting.academy
    kept = Guardian.objects.filter(person=person, academy=academy).first()
    initial = {"name": kept.name, "contact": kept.contact} if kept else None
    form = GuardianForm(posted(request), initial=initial)
    if form.is_valid():
        try:
            services.set_guardian(
                person=person, academy=academy, by=request.acting.person, **form.cleaned_data
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Kept. {form.cleaned_data['name']} is called if need be.")
            return to_member(request, person)
    context = {"person": person, "form": form, "kept": kept}
    return render(request, "people/guardian_edit.html", context)


@require_POST
@acting(Role.MANAGER)
def guardian_remove(request: ActingRequest, token: str) -> HttpResponse:
    person = member_or_404(request, token)
    try:
        services.remove_guardian(
            person=person, academy=request.acting.academy, by=request.acting.person
        )
    except PeopleError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "Removed. The guardian's contact is erased.")
    return to_member(request, person)


def member_or_404(request: ActingRequest, token: str) -> Person:
    return get_object_or_404(queries.members_of(request.acting.academy), token=token)


def to_member(request: ActingRequest, person: Person) -> HttpResponseRedirect:
    academy = request.acting.academy
    return redirect("people:member-detail", academy=academy.slug, token=person.token)


def show_member(
    request: ActingRequest,
    person: Person,
    *,
    role_form: RoleForm | None = None,
    move_form: MoveForm | None = None,
) -> HttpResponse:
    """One person's page; a form that was refused is shown with what was typed."""
    academy = request.acting.academy
    held = held_roles_of(person, academy)
    places = CohortPlace.objects.filter(person=person, cohort__academy=academy)
    places = places.select_related("cohort").order_by("-since", "-pk")
    current = places.open().last()
    entries = history_of_person(person.pk, academy_id=academy.pk)
    reader = request.acting.person.pk
    history = page_of(
        request,
        readable(entries, reader_id=reader, academy_id=academy.pk),
        per=LINES_OF_HISTORY,
    )
    context = {
        "person": person,
        "held": held,
        "memberships": Membership.objects.filter(academy=academy, person=person).order_by("since"),
        "places": places,
        "place": current,
        "placed": queries.places_words(places.open().reverse()),
        "guardian": Guardian.objects.filter(academy=academy, person=person).first(),
        "invitations": Invitation.objects.filter(academy=academy, email=person.email).for_list(),
        "consents": person.consents.standing().order_by("given_at"),
        "history": history,
        "lines": sentences_of(history),
        "role_form": role_form or RoleForm(held=held),
        "move_form": move_form
        or MoveForm(academy=academy, now_in=current.cohort if current else None),
        "apprentice": Role.APPRENTICE in held,
    }
    return render(request, "people/member_detail.html", context)
