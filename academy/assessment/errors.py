"""Why something about an assessment was refused."""

from __future__ import annotations

from academy.web.refused import Refused


class AssessmentError(Refused):
    """A booking, mark, outcome, sign-off or verification that cannot be."""
