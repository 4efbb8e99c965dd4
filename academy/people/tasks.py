"""Mail, sent by the worker."""

from __future__ import annotations

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from academy.people.models import Invitation


def link_of(invitation: Invitation) -> str:
    """The whole address that lets the invited person in."""
    path = reverse("people:invitation-accept", kwargs={"secret": invitation.secret})
    return f"{settings.SITE_ADDRESS.rstrip('/')}{path}"


def send_invitation(invitation_id: int) -> None:
    """Mail the link, unless it was accepted, revoked or has run out meanwhile."""
    invitation = Invitation.objects.select_related("academy", "invited_by").get(pk=invitation_id)
    if invitation.state != "open":
        return
    with timezone.override(invitation.academy.time_zone):
        body = render_to_string(
            "people/mail/invitation.txt",
            {"invitation": invitation, "link": link_of(invitation)},
        )
    subject = f"{invitation.academy.name}: your place as {invitation.get_role_display()}"
    EmailMessage(subject, body, to=[invitation.email]).send()
