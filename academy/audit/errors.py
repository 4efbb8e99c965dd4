"""The domain error of the record, and the fault that is none."""

from __future__ import annotations

from academy.web.refused import Refused


class AuditError(Refused):
    """A row that stands was to be changed or deleted."""


class RecordError(Exception):
    """A service wrote the record wrongly: a fault of the program, not an answer to a person."""
