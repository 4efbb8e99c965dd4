"""Evidence packs that somebody asked for."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from academy.people.models import Academy, Person
from academy.web.models import Job, JobState
from academy.web.tokens import TokenField, new_token


def pack_name(_row: EvidencePack, _name: str) -> str:
    """Where a pack is kept: nothing in the name can be guessed, nothing in it is personal."""
    return f"packs/{new_token()}.zip"


class EvidencePack(models.Model):
    """A decision with its proofs as one ZIP. A worker makes it; it is kept for a month.

    What goes in is what the one who asked may see at that moment, so it is theirs alone.
    """

    class About(models.TextChoices):
        ASSESSMENT = "assessment", "assessment"
        SIGN_OFF = "sign-off", "sign-off"
        CERTIFICATE = "certificate", "certificate"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.CASCADE, related_name="+")
    about = models.CharField(max_length=11, choices=About.choices)
    subject_id = models.BigIntegerField()
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField(default=timezone.now)
    job = models.ForeignKey(Job, models.SET_NULL, null=True, related_name="+")
    done = models.PositiveSmallIntegerField(default=0)
    total = models.PositiveSmallIntegerField(default=0)
    file = models.FileField(upload_to=pack_name, blank=True)
    trouble = models.CharField(max_length=400, blank=True)

    class Meta:
        indexes = [models.Index(fields=["about", "subject_id"], name="reports_pack_about")]
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"evidence pack of {self.get_about_display()} {self.subject_id}"

    @property
    def state(self) -> str:
        """A `JobState`: done once there is a file, else what became of the job."""
        if self.file:
            return JobState.DONE
        if self.trouble or self.job is None:
            return JobState.FAILED
        return self.job.state
