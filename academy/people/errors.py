"""What the people app answers when it will not do what was asked."""

from __future__ import annotations

from academy.web.refused import Refused


class PeopleError(Refused):
    """A refusal about people, cohorts or invitations."""
