"""Certificates and what happened to them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models import SignOff
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.curriculum.models import Award
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField


class CertificateQuerySet(AppendOnlyQuerySet["Certificate"]):
    def visible_to(self, person: Person, academy: Academy) -> CertificateQuerySet:
        """An apprentice sees their own certificates; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return rows.filter(holder=person)
        return rows


class Certificate(AppendOnlyModel):
    """One person's proof of an award, as it was issued. Its state comes from its events."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    holder = models.ForeignKey(Person, models.PROTECT, related_name="certificates")
    holder_name = models.CharField(max_length=120)
    award = models.ForeignKey(Award, models.PROTECT, related_name="certificates")
    award_title = models.CharField(max_length=120)
    modules = models.JSONField(help_text="Titles, versions and sign-off days, as printed.")
    mannequin_note = models.BooleanField(default=True)
    sign_offs = models.ManyToManyField(
        SignOff, through="CertificateSignOff", related_name="certificates"
    )
    issued_on = models.DateField()
    valid_until = models.DateField()
    issued_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    issued_at = models.DateTimeField(default=timezone.now)
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )

    objects = CertificateQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["academy", "number"], name="awards_certificate_number_once"
            ),
            models.CheckConstraint(
                condition=Q(valid_until__gte=models.F("issued_on")),
                name="awards_certificate_days_in_order",
            ),
        ]
        ordering = ["-issued_on", "-number"]

    def __str__(self) -> str:
        return f"certificate {self.number:04d}, {self.award_title}"


class CertificateSignOff(AppendOnlyModel):
    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="rests_on")
    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["CertificateSignOff"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["certificate", "sign_off"], name="awards_certificatesignoff_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.certificate} rests on {self.sign_off}"


class CertificateEvent(AppendOnlyModel):
    """Something that happened to a certificate; the reason stays inside the academy."""

    class Kind(models.TextChoices):
        ISSUED = "issued", "issued"
        WITHDRAWN = "withdrawn", "withdrawn"
        REPLACED = "replaced", "replaced"
        LAPSED = "lapsed", "lapsed"
        SUSPENDED = "suspended", "suspended"
        RESTORED = "restored", "restored"

    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="events")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    reason = models.TextField(max_length=1000, blank=True)

    objects = AppendOnlyQuerySet["CertificateEvent"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind="withdrawn") | ~Q(reason=""), name="awards_event_withdrawn_reason"
            ),
            models.UniqueConstraint(
                fields=["certificate", "kind"],
                condition=Q(kind__in=["issued", "withdrawn", "replaced"]),
                name="awards_event_final_once",
            ),
        ]
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.certificate} {self.kind}"


class CertificateFile(AppendOnlyModel):
    """The PDF as it was printed first; it is kept, never made again."""

    certificate = models.OneToOneField(Certificate, models.PROTECT, related_name="file")
    content = models.FileField(upload_to="certificates/")
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["CertificateFile"].as_manager()

    def __str__(self) -> str:
        return f"PDF of {self.certificate}"
