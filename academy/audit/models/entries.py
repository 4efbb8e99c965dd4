"""Entries: what was done, one row for each thing."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Any, cast

from django.db import models

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.audit.envelope import Envelope
from academy.craft.proof import canonical
from academy.craft.proof.chain import Link

if TYPE_CHECKING:
    from collections.abc import Mapping


class EntryQuerySet(AppendOnlyQuerySet["Entry"]):
    def for_chain(self, academy_id: int) -> EntryQuerySet:
        """An academy's entries in the order of its chain."""
        return self.filter(academy_id=academy_id).order_by("sequence")

    def for_history(self, academy_id: int) -> EntryQuerySet:
        """An academy's entries, the newest first."""
        return self.filter(academy_id=academy_id).order_by("-sequence")


class Entry(AppendOnlyModel):
    """One thing that was done: displayed columns, the canonical bytes that are proved, two hashes.

    Academy, persons and subject are plain numbers, so that the record needs nothing above it and
    outlives what it speaks of. `about_id` is the person concerned, where the details name one.
    """

    academy_id = models.BigIntegerField()
    sequence = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    actor_id = models.BigIntegerField(null=True)
    about_id = models.BigIntegerField(null=True)
    request_id = models.CharField(max_length=64, blank=True)
    action = models.CharField(max_length=80)
    subject_type = models.CharField(max_length=80)
    subject_id = models.BigIntegerField()
    canonical = models.BinaryField()
    previous_hash = models.BinaryField()
    hash = models.BinaryField()

    objects = EntryQuerySet.as_manager()

    class Meta:
        verbose_name = "entry of the record"
        verbose_name_plural = "entries of the record"
        constraints = [
            models.UniqueConstraint(
                fields=["academy_id", "sequence"], name="audit_entry_one_of_each_number"
            ),
            models.CheckConstraint(
                condition=models.Q(sequence__gte=1), name="audit_entry_numbers_from_one"
            ),
        ]
        indexes = [
            models.Index(fields=["subject_type", "subject_id"], name="audit_entry_subject"),
            models.Index(fields=["academy_id", "actor_id"], name="audit_entry_actor"),
            models.Index(fields=["academy_id", "about_id"], name="audit_entry_about"),
        ]

    def __str__(self) -> str:
        return f"{self.sequence} {self.action}"

    @cached_property
    def details(self) -> Mapping[str, Any]:
        """What the canonical bytes say beside the displayed columns."""
        content = cast("dict[str, Any]", canonical.parse(bytes(self.canonical)))
        return cast("dict[str, Any]", content["details"])

    @property
    def short_hash(self) -> str:
        """The first eight digits of the hash, enough to tell two entries apart on a page."""
        return bytes(self.hash).hex()[:8]

    @property
    def envelope(self) -> Envelope:
        """The displayed columns, as they stand around the details in the canonical bytes."""
        return Envelope(
            academy_id=self.academy_id,
            sequence=self.sequence,
            at=self.at,
            actor_id=self.actor_id,
            about_id=self.about_id,
            request_id=self.request_id,
            action=self.action,
            subject_type=self.subject_type,
            subject_id=self.subject_id,
        )

    @property
    def link(self) -> Link:
        """The entry as a link of the chain."""
        return Link(
            sequence=self.sequence,
            canonical=bytes(self.canonical),
            previous_hash=bytes(self.previous_hash),
            hash=bytes(self.hash),
            around=self.envelope.around(),
        )
