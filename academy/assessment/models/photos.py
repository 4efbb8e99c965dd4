"""Photos of the work, of a paper sheet that was marked while the tablet failed, of a reference."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.assessment.models.standardisation import ReferenceHead
from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.web.tokens import TokenField, new_token


def photo_name(_row: KeptPhoto, _name: str) -> str:
    """Where a photo is kept: nothing in the name can be guessed, nothing in it is personal."""
    return f"photos/{new_token()}.jpg"


class KeptPhoto(FrozenModel):
    """A photo that is kept. `allowed` is why it may be: a face is personal."""

    class Allowed(models.TextChoices):
        NO_FACE = "no_face", "no face in it"
        CONSENT = "consent", "consent is on record"

    token = TokenField()
    allowed = models.CharField(max_length=7, choices=Allowed.choices)
    file = models.FileField(upload_to=photo_name)
    sha256 = models.CharField(max_length=64)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    client_key = models.CharField(max_length=22)
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        abstract = True
        ordering = ["added_at", "pk"]


class Photo(KeptPhoto):
    """One photo of an assessed head."""

    frozen_when = Q(assessment__state="submitted")

    class Shows(models.TextChoices):
        WORK = "work", "the work"
        PAPER = "paper", "the paper sheet"

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="photos")
    shows = models.CharField(max_length=5, choices=Shows.choices, default=Shows.WORK)

    objects = FrozenQuerySet["Photo"].as_manager()

    class Meta(KeptPhoto.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "client_key"], name="assessment_photo_sent_once"
            ),
            models.CheckConstraint(condition=~Q(allowed=""), name="assessment_photo_allowed"),
        ]

    def __str__(self) -> str:
        return f"photo of {self.words}"

    @property
    def words(self) -> str:
        """What it shows, in words that may stand in the place of the picture."""
        return self.get_shows_display()


class ReferencePhoto(KeptPhoto):
    """One photo of a reference head: what the agreed levels were read off."""

    frozen_when = Q(reference__published_at__isnull=False)

    reference = models.ForeignKey(ReferenceHead, models.CASCADE, related_name="photos")
    shows = models.CharField(max_length=120)

    objects = FrozenQuerySet["ReferencePhoto"].as_manager()

    class Meta(KeptPhoto.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["reference", "client_key"], name="assessment_referencephoto_sent_once"
            ),
            models.CheckConstraint(
                condition=~Q(allowed=""), name="assessment_referencephoto_allowed"
            ),
            models.CheckConstraint(condition=~Q(shows=""), name="assessment_referencephoto_shows"),
        ]

    def __str__(self) -> str:
        return f"photo of {self.shows}"

    @property
    def words(self) -> str:
        return self.shows
