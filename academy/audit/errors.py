"""The one domain error of the record."""

from __future__ import annotations

from academy.web.refused import Refused


class AuditError(Refused):
    """The record refuses: what was to be written, or the change of what stands."""
