"""What people agreed to, and whom to call for those under 18."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.people.models.persons import Academy, Person


class ConsentQuerySet(models.QuerySet["Consent", "Consent"]):
    def standing(self) -> ConsentQuerySet:
        """Given and not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)


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

    objects = ConsentQuerySet.as_manager()

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
    """Whom to call for an apprentice under 18.

    The row is also the flag "under 18": the least that does the work. No birth date is kept;
    the manager removes the row when the apprentice comes of age, and the contact with it.
    """

    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, models.CASCADE, related_name="guardians")
    name = models.CharField(max_length=120)
    contact = models.CharField(max_length=120)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["academy", "person"], name="people_guardian_one_per_person"
            ),
        ]

    def __str__(self) -> str:
        return f"guardian of {self.person}"
