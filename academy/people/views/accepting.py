"""The page behind the link in the mail: nobody need be signed in to open it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from academy.people import rules, services, wordings
from academy.people.errors import PeopleError
from academy.people.forms import ComeInForm, JoinForm, posted
from academy.people.models import Consent, Invitation, Person
from academy.people.services.accepting import check_usable
from academy.people.views.door import BACKEND, home_of
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from django.http import HttpRequest, HttpResponse

    from academy.web.forms import PlainForm

NOTICE = Consent.Purpose.PRIVACY_NOTICE


@login_not_required
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def invitation_accept(request: HttpRequest, secret: str) -> HttpResponse:
    """Let the owner of the address in; say what to do to everybody else."""
    invitation = Invitation.objects.for_list().filter(secret=secret).first()
    person = request.user if isinstance(request.user, Person) else None
    if invitation and person and invitation.accepted_by == person:
        return redirect(home_of(invitation.academy.slug))
    stop = _stop(invitation)
    if invitation is None or stop:
        return _hidden(request, "people/invitation_closed.html", {"stop": stop}, status=410)
    if _wrong_person(invitation, person):
        context = {"invitation": invitation, "person": person}
        return _hidden(request, "people/invitation_other.html", context, status=403)
    form = _form(request, person)
    if form.is_bound and form.is_valid():
        try:
            joined = services.accept_invitation(
                invitation=invitation, person=person, **form.cleaned_data
            )
        except PeopleError as refused:
            form.refuse(refused)
        else:
            if person is None:
                login(request, joined.person, backend=BACKEND)
            return redirect(home_of(invitation.academy.slug))
    return _page(request, invitation, person, form)


def _stop(invitation: Invitation | None) -> str:
    """Why the link leads nowhere, or nothing."""
    if invitation is None:
        return (
            "This link is not known here. Perhaps it was cut in two: "
            "copy the whole line from the mail."
        )
    try:
        check_usable(invitation)
    except PeopleError as refused:
        return refused.message
    return ""


def _wrong_person(invitation: Invitation, person: Person | None) -> bool:
    """Somebody else is signed in, or nobody is and the address has an account."""
    if person:
        return not rules.may_accept(person, invitation)
    return Person.objects.filter(email=invitation.email).exists()


def _form(request: HttpRequest, person: Person | None) -> PlainForm:
    if person is None:
        return ComeInForm(posted(request))
    read = person.consents.standing().filter(
        purpose=NOTICE, wording_version=wordings.current_wording(NOTICE)
    )
    return (BlockworkForm if read.exists() else JoinForm)(posted(request))


def _page(
    request: HttpRequest, invitation: Invitation, person: Person | None, form: PlainForm
) -> HttpResponse:
    if not form.is_bound:
        form.initial = {"name": invitation.name}
    context = {
        "invitation": invitation,
        "person": person,
        "form": form,
        "notice": wordings.wording_text(NOTICE) if "notice_read" in form.fields else "",
    }
    return _hidden(request, "people/invitation_accept.html", context)


def _hidden(
    request: HttpRequest, template: str, context: Mapping[str, Any], status: int = 200
) -> HttpResponse:
    """A page that no search engine keeps."""
    response = render(request, template, dict(context), status=status)
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
