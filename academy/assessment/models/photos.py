"""Photos of the work, or of a paper sheet that was marked while the tablet failed."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.web.tokens import TokenField, new_token


def photo_name(_row: Photo, _name: str) -> str:
    """Where a photo is kept: nothing in the name can be guessed, nothing in it is personal."""
    return f"photos/{new_token()}.jpg"


class Photo(FrozenModel):
    """One photo of an assessed head. `allowed` is why it may be kept: a face is personal."""

    frozen_when = Q(assessment__state="submitted")

    class Shows(models.TextChoices):
        WORK = "work", "the work"
        PAPER = "paper", "the paper sheet"

    class Allowed(models.TextChoices):
        NO_FACE = "no_face", "no face in it"
        CONSENT = "consent", "consent is on record"

    token = TokenField()
    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="photos")
    shows = models.CharField(max_length=5, choices=Shows.choices, default=Shows.WORK)
    allowed = models.CharField(max_length=7, choices=Allowed.choices)
    file = models.FileField(upload_to=photo_name)
    sha256 = models.CharField(max_length=64)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    client_key = models.CharField(max_length=22)
    added_at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["Photo"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "client_key"], name="assessment_photo_sent_once"
            ),
            models.CheckConstraint(condition=~Q(allowed=""), name="assessment_photo_allowed"),
        ]
        ordering = ["added_at", "pk"]

    def __str__(self) -> str:
        return f"photo of {self.get_shows_display()}"
