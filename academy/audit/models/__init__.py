"""The tables of the record."""

from __future__ import annotations

from academy.audit.models.checkpoints import (
    Checkpoint as Checkpoint,
    CheckpointQuerySet as CheckpointQuerySet,
    SigningKey as SigningKey,
)
from academy.audit.models.checks import RecordCheck as RecordCheck
from academy.audit.models.entries import Entry as Entry, EntryQuerySet as EntryQuerySet
