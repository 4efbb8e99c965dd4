from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _


class JobState(models.TextChoices):
    WAITING = "waiting", _("waiting")
    RUNNING = "running", _("running")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")


class Job(models.Model):
    """One piece of background work that was asked for, and what became of it.

    The queue only carries the number of the row. The row decides: a job that has ended is not
    run again, however often the queue delivers it.
    """

    key = models.CharField(max_length=200, unique=True)
    task = models.CharField(max_length=200)
    arguments = models.JSONField(default=list)
    state = models.CharField(max_length=10, choices=JobState, default=JobState.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    asked_at = models.DateTimeField()
    begun_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    trouble = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="web_job_state", condition=models.Q(state__in=JobState.values)
            ),
        ]
        indexes = [models.Index(fields=["state", "asked_at"], name="web_job_state_asked")]

    def __str__(self) -> str:
        return f"{self.key}: {self.get_state_display()}"
