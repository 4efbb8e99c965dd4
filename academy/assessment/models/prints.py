"""Result sheets as PDF that somebody asked for."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.people.models import Person
from academy.web.models import Job, JobState
from academy.web.tokens import TokenField, new_token


def print_name(_row: ResultPrint, _name: str) -> str:
    """Where a print is kept: nothing in the name can be guessed, nothing in it is personal."""
    return f"results/{new_token()}.pdf"


class ResultPrint(models.Model):
    """A result sheet as PDF. A worker makes the file; whoever asked for it fetches it.

    `trouble` is the sentence for the one who waits, where it cannot be made.
    """

    token = TokenField()
    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="prints")
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField(default=timezone.now)
    job = models.ForeignKey(Job, models.SET_NULL, null=True, related_name="+")
    file = models.FileField(upload_to=print_name, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    trouble = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"result sheet of {self.assessment}"

    @property
    def state(self) -> str:
        """A `JobState`: done once there is a file, else what became of the job."""
        if self.file:
            return JobState.DONE
        if self.trouble or self.job is None:
            return JobState.FAILED
        return self.job.state
