"""Links that let people in."""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone

from academy.people.models.cohorts import Cohort
from academy.people.models.persons import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

LINK_DAYS = 14


def new_secret() -> str:
    """43 url-safe characters, 256 bits: whoever has them is let in."""
    return secrets.token_urlsafe(32)


def link_end() -> datetime:
    return timezone.now() + timedelta(days=LINK_DAYS)


class InvitationQuerySet(models.QuerySet["Invitation", "Invitation"]):
    def visible_to(self, person: Person, academy: Academy) -> InvitationQuerySet:
        """Managers see the academy's invitations, others none."""
        if Role.MANAGER not in held_roles_of(person, academy):
            return self.none()
        return self.filter(academy=academy)

    def open(self) -> InvitationQuerySet:
        """Neither accepted nor revoked; the link may have run out."""
        return self.filter(accepted_at__isnull=True, revoked_at__isnull=True)

    def for_list(self) -> InvitationQuerySet:
        """Open ones first, then the newest; one query."""
        joined = self.select_related("cohort", "invited_by", "accepted_by")
        closed = models.Case(
            models.When(accepted_at__isnull=True, revoked_at__isnull=True, then=0), default=1
        )
        return joined.order_by(closed, "-sent_at", "pk")


class Invitation(models.Model):
    """A link sent to one address; whoever opens it must own that address."""

    token = TokenField()
    secret = models.CharField(max_length=64, unique=True, default=new_secret, editable=False)
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="invitations")
    email = models.EmailField(max_length=254)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=12, choices=Role.choices)
    cohort = models.ForeignKey(
        Cohort, models.PROTECT, null=True, blank=True, related_name="invitations"
    )
    invited_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    sent_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField(default=link_end)
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=Role.values), name="people_invitation_role_known"
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(revoked_at__isnull=True),
                name="people_invitation_accepted_or_revoked",
            ),
            models.UniqueConstraint(
                "academy",
                Lower("email"),
                "role",
                condition=Q(accepted_at__isnull=True, revoked_at__isnull=True),
                name="people_invitation_one_open",
            ),
        ]

    def __str__(self) -> str:
        return f"invitation to {self.academy} as {self.role}"

    @property
    def state(self) -> str:
        """One of "open", "expired", "accepted" and "revoked"."""
        if self.accepted_at:
            return "accepted"
        if self.revoked_at:
            return "revoked"
        return "expired" if self.expires_at <= timezone.now() else "open"
