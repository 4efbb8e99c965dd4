"""Verifications of the record: who asked, how far it is, what was found."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from academy.web.models import Job, JobState
from academy.web.tokens import TokenField


class RecordCheck(models.Model):
    """One verification of an academy's chain, done by a worker in steps.

    It verifies the entries from `first` to `last`; `done` of them are, and `head`, `peaks`
    and `chunks` are what the next step goes on from. `asked_by_id` is empty where the night
    asked. `affected` is what a broken chain leaves in doubt (`academy.audit.affected`).
    """

    token = TokenField()
    academy_id = models.BigIntegerField()
    asked_by_id = models.BigIntegerField(null=True)
    asked_at = models.DateTimeField(default=timezone.now)
    whole = models.BooleanField(help_text="From the first entry, or from the newest checkpoint.")
    job = models.ForeignKey(Job, models.SET_NULL, null=True, related_name="+")
    first = models.PositiveBigIntegerField(default=1)
    last = models.PositiveBigIntegerField(default=0)
    done = models.PositiveBigIntegerField(default=0)
    head = models.BinaryField(default=b"")
    peaks = models.BinaryField(default=b"")
    chunks = models.BinaryField(default=b"")
    ended_at = models.DateTimeField(null=True)
    broken_at = models.PositiveBigIntegerField(null=True)
    sentence = models.CharField(max_length=300, blank=True)
    affected = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["academy_id", "asked_at"], name="audit_check_newest")]
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"verification of {self.first} to {self.last}"

    @property
    def state(self) -> str:
        """A `JobState`: done once it has ended, whatever it found."""
        if self.ended_at:
            return JobState.DONE
        return JobState.FAILED if self.job is None else self.job.state

    @property
    def held(self) -> bool:
        return bool(self.ended_at) and self.broken_at is None

    @property
    def total(self) -> int:
        return self.last - self.first + 1

    @property
    def share(self) -> int:
        """Per cent of the entries that are verified, rounded down."""
        return 100 * self.done // self.total if self.total else 100
