"""Invitations: sending them and looking after them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from academy.people import services
from academy.people.acting import ActingRequest, acting
from academy.people.errors import PeopleError
from academy.people.forms import InviteForm, InviteManyForm, posted
from academy.people.models import Invitation, Role
from academy.web.paging import page_of

if TYPE_CHECKING:
    from django.http import HttpResponse


@require_safe
@acting(Role.MANAGER)
def invitation_list(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    invitations = Invitation.objects.filter(academy=academy)
    context = {
        "page": page_of(request, invitations.for_list()),
        "open_count": invitations.open().count(),
    }
    return render(request, "people/invitation_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def invitation_new(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    form = InviteForm(posted(request), academy=academy)
    if form.is_valid():
        try:
            sent = services.invite(academy=academy, by=request.acting.person, **form.cleaned_data)
        except PeopleError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Invited. The link is on its way to {sent.email}.")
            return redirect("people:invitation-list", academy=academy.slug)
    return render(request, "people/invitation_new.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.MANAGER)
def invitation_upload(request: ActingRequest) -> HttpResponse:
    """Read a list, show what was read, and send it on a second press."""
    academy = request.acting.academy
    form = InviteManyForm(posted(request), request.FILES or None)
    context: dict[str, Any] = {"form": form}
    if form.is_valid():
        text = form.cleaned_data["text"]
        context["reading"] = reading = services.read_invitations(academy, text)
        if "send" in request.POST and not reading.bad:
            try:
                sent = services.invite_many(academy=academy, by=request.acting.person, text=text)
            except PeopleError as refused:
                form.refuse(refused)
            else:
                messages.success(request, f"Invited. {len(sent)} links are on their way.")
                return redirect("people:invitation-list", academy=academy.slug)
        else:
            context["form"] = InviteManyForm(initial={"lines": text})
    return render(request, "people/invitation_upload.html", context)


@require_POST
@acting(Role.MANAGER)
def invitation_resend(request: ActingRequest, token: str) -> HttpResponse:
    invitation = get_object_or_404(Invitation, academy=request.acting.academy, token=token)
    try:
        services.resend(invitation=invitation, by=request.acting.person)
    except PeopleError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Sent again. The link to {invitation.email} lasts from today.")
    return redirect("people:invitation-list", academy=request.acting.academy.slug)


@require_POST
@acting(Role.MANAGER)
def invitation_revoke(request: ActingRequest, token: str) -> HttpResponse:
    invitation = get_object_or_404(Invitation, academy=request.acting.academy, token=token)
    try:
        services.revoke(invitation=invitation, by=request.acting.person)
    except PeopleError as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, f"Revoked. The link to {invitation.email} leads nowhere now.")
    return redirect("people:invitation-list", academy=request.acting.academy.slug)
