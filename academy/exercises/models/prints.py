"""Papers as PDF that somebody asked for."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from academy.exercises.models.papers import Paper
from academy.people.models import Person
from academy.web.models import Job, JobState
from academy.web.tokens import TokenField, new_token


def print_name(_row: PaperPrint, _name: str) -> str:
    """Where a print is kept: nothing in the name can be guessed, nothing in it is personal."""
    return f"papers/{new_token()}.pdf"


class PaperPrint(models.Model):
    """A paper as PDF that somebody asked for. A worker makes the file.

    `people` are the ids of the apprentices whose papers go in, in their order, and `done` counts
    those that are laid: a worker makes them in batches. A 0 stands for all who get the same
    numbers. `trouble` is the sentence for the one who waits, where it cannot be made at all, or
    for whoever would use it, where the paper was changed or marked again since.
    """

    class What(models.TextChoices):
        PAPERS = "papers", "papers"
        KEY = "key", "answer key"
        GUIDE = "guide", "marking guide"

    token = TokenField()
    paper = models.ForeignKey(Paper, models.CASCADE, related_name="prints")
    what = models.CharField(max_length=6, choices=What.choices, default=What.PAPERS)
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField(default=timezone.now)
    job = models.ForeignKey(Job, models.SET_NULL, null=True, related_name="+")
    people = models.JSONField(default=list)
    done = models.PositiveSmallIntegerField(default=0)
    file = models.FileField(upload_to=print_name, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    trouble = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"print of {self.paper}"

    @property
    def state(self) -> str:
        """A `JobState`: done once there is a file, else what became of the job."""
        if self.file:
            return JobState.DONE
        if self.trouble or self.job is None:
            return JobState.FAILED
        return self.job.state

    @property
    def total(self) -> int:
        """How many sets of sheets it will hold; 0 until a worker has begun."""
        return len(self.people)

    @property
    def share(self) -> int:
        """Per cent of the sets that are laid, rounded down."""
        return 100 * self.done // self.total if self.total else 0
