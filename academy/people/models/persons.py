"""Persons, academies, and who holds which role where."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

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

    def save(self, *args: Any, **kwargs: Any) -> None:
        # One spelling of an address: signing in and invitations compare whole texts.
        self.email = self.email.lower()
        super().save(*args, **kwargs)

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


def held_roles_of(person: Person, academy: Academy, *, on: date | None = None) -> tuple[Role, ...]:
    """Roles the person holds in the academy that day (today), in the order of `Role`. One query."""
    held = set(
        Membership.objects.current(on)
        .filter(person=person, academy=academy)
        .values_list("role", flat=True)
    )
    return tuple(role for role in Role if role.value in held)
