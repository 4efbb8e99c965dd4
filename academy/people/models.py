"""Persons, academies, and who does what where."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone

from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from datetime import date


class Role(models.TextChoices):
    APPRENTICE = "apprentice", "apprentice"
    ASSESSOR = "assessor", "assessor"
    EDUCATOR = "educator", "educator"
    VERIFIER = "verifier", "verifier"
    MANAGER = "manager", "manager"


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, name: str, password: str | None = None) -> Person:
        person = self.model(email=self.normalize_email(email).lower(), name=name)
        person.set_password(password)
        person.save()
        return person

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(email=(username or "").lower())


class Person(AbstractBaseUser):
    """Somebody who signs in. Belongs to no academy by itself: memberships say where."""

    token = TokenField()
    email = models.EmailField(max_length=254, unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)

    objects: ClassVar[PersonManager] = PersonManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        constraints = [
            models.UniqueConstraint(Lower("email"), name="people_person_one_per_email"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split(" ")[0]


class AcademyQuerySet(models.QuerySet["Academy", "Academy"]):
    def visible_to(self, person: Person) -> AcademyQuerySet:
        """Academies in which the person holds a role today."""
        return self.filter(
            memberships__in=Membership.objects.current().filter(person=person)
        ).distinct()


class Academy(models.Model):
    """One training centre: the unit of ownership of every row."""

    token = TokenField()
    slug = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(max_length=40, default="Europe/London")
    preset = models.CharField(max_length=20, default="uk")
    created_at = models.DateTimeField(default=timezone.now)

    objects = AcademyQuerySet.as_manager()

    def __str__(self) -> str:
        return self.name


class MembershipQuerySet(models.QuerySet["Membership", "Membership"]):
    def current(self, on: date | None = None) -> MembershipQuerySet:
        day = on or timezone.localdate()
        return self.filter(Q(until__isnull=True) | Q(until__gte=day), since__lte=day)


class Membership(models.Model):
    """A person's role in an academy from one day to another; `until` is the last day."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="memberships")
    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=12, choices=Role.choices)
    since = models.DateField(default=timezone.localdate)
    until = models.DateField(null=True, blank=True)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=Role.values), name="people_membership_role_known"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=models.F("since")),
                name="people_membership_ends_after_start",
            ),
            models.UniqueConstraint(
                fields=["academy", "person", "role"],
                condition=Q(until__isnull=True),
                name="people_membership_one_open_per_role",
            ),
        ]
        indexes = [models.Index(fields=["academy", "role", "until"])]

    def __str__(self) -> str:
        return f"{self.person} as {self.role} at {self.academy}"


def held_roles_of(person: Person, academy: Academy) -> tuple[Role, ...]:
    """Roles the person holds in the academy today, in the order of `Role`. One query."""
    held = set(
        Membership.objects.current()
        .filter(person=person, academy=academy)
        .values_list("role", flat=True)
    )
    return tuple(role for role in Role if role.value in held)


class CohortQuerySet(models.QuerySet["Cohort", "Cohort"]):
    def visible_to(self, person: Person, academy: Academy) -> CohortQuerySet:
        """Staff see the academy's cohorts, an apprentice the ones they have a place in."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        cohorts = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return cohorts.filter(places__person=person).distinct()
        return cohorts


class Cohort(models.Model):
    """Apprentices who start together."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="cohorts")
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    educators = models.ManyToManyField(Person, related_name="taught_cohorts", blank=True)

    objects = CohortQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "name"], name="people_cohort_name_once"),
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=models.F("starts_on")),
                name="people_cohort_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CohortPlaceQuerySet(models.QuerySet["CohortPlace", "CohortPlace"]):
    def current(self, on: date | None = None) -> CohortPlaceQuerySet:
        day = on or timezone.localdate()
        return self.filter(Q(until__isnull=True) | Q(until__gte=day), since__lte=day)


class CohortPlace(models.Model):
    """An apprentice's time in a cohort; moving ends one place and begins another."""

    cohort = models.ForeignKey(Cohort, models.PROTECT, related_name="places")
    person = models.ForeignKey(Person, models.PROTECT, related_name="cohort_places")
    since = models.DateField(default=timezone.localdate)
    until = models.DateField(null=True, blank=True)

    objects = CohortPlaceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["cohort", "person"],
                condition=Q(until__isnull=True),
                name="people_cohortplace_one_open",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=models.F("since")),
                name="people_cohortplace_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} in {self.cohort}"


class Invitation(models.Model):
    """A link sent to one address; whoever opens it must own that address."""

    token = TokenField()
    secret = models.CharField(max_length=64, unique=True)
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="invitations")
    email = models.EmailField(max_length=254)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=12, choices=Role.choices)
    cohort = models.ForeignKey(
        Cohort, models.PROTECT, null=True, blank=True, related_name="invitations"
    )
    invited_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    sent_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

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


class Consent(models.Model):
    """What a person agreed to, in which wording, and until when."""

    class Purpose(models.TextChoices):
        PRIVACY_NOTICE = "privacy_notice", "privacy notice read"
        NAME_ON_CHECK_PAGE = "name_on_check_page", "full name on the public check page"

    person = models.ForeignKey(Person, models.PROTECT, related_name="consents")
    purpose = models.CharField(max_length=24, choices=Purpose.choices)
    wording_version = models.PositiveSmallIntegerField(default=1)
    given_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "purpose"],
                condition=Q(withdrawn_at__isnull=True),
                name="people_consent_one_open",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()}: {self.person}"


class Guardian(models.Model):
    """Whom to call for an apprentice under 18."""

    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, models.CASCADE, related_name="guardians")
    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120)

    def __str__(self) -> str:
        return f"guardian of {self.person}"
