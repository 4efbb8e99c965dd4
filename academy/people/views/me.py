"""One's own account: name, what one agreed to, and the ways to sign in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from academy.people import queries, services, wordings
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import NameForm, posted
from academy.people.models import Consent, Person

if TYPE_CHECKING:
    from django.http import HttpResponse, HttpResponseRedirect


@dataclass(frozen=True)
class Agreement:
    """A thing to agree to, in the words of today, and what the person agreed to, if anything."""

    purpose: str
    title: str
    text: str
    given: Consent | None
    may_withdraw: bool


@require_http_methods(["GET", "HEAD", "POST"])
@acting()
def me(request: ActingRequest) -> HttpResponse:
    person = request.acting.person
    form = NameForm(posted(request), initial={"name": person.name})
    if form.is_valid():
        try:
            services.change_name(
                person=Person.objects.get(pk=person.pk),
                academy=request.acting.academy,
                name=form.cleaned_data["name"],
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Saved. This is how your name stands from now on.")
            return to_me(request)
    places = queries.places_of(person)
    context = {
        "form": form,
        "agreements": _agreements(person),
        "places": places,
        "several": len(places) > 1 or len(request.acting.roles) > 1,
    }
    return render(request, "people/me.html", context)


@require_POST
@acting()
def consent_decide(request: ActingRequest) -> HttpResponse:
    """Agree, or stop agreeing."""
    person, academy = request.acting.person, request.acting.academy
    purpose = request.POST.get("purpose", "")
    agrees = request.POST.get("decision") == "give"
    decide = services.give_consent if agrees else services.withdraw_consent
    try:
        decide(person=person, academy=academy, purpose=purpose)
    except PeopleError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "Noted. You agree." if agrees else "Noted. You no longer agree.")
    return to_me(request)


def to_me(request: ActingRequest) -> HttpResponseRedirect:
    return redirect("people:me", academy=request.acting.academy.slug)


def _agreements(person: Person) -> list[Agreement]:
    standing = {consent.purpose: consent for consent in person.consents.standing()}
    found = []
    for purpose in Consent.Purpose:
        given = standing.get(purpose.value)
        current = given and given.wording_version == wordings.current_wording(purpose)
        found.append(
            Agreement(
                purpose=purpose.value,
                title=str(purpose.label).capitalize(),
                text=wordings.wording_text(purpose),
                given=given if current else None,
                may_withdraw=purpose != Consent.Purpose.PRIVACY_NOTICE,
            )
        )
    return found
