"""Why something about a certificate was refused."""

from __future__ import annotations

from academy.web.refused import Refused


class AwardError(Refused):
    """A certificate that cannot be issued or withdrawn."""
