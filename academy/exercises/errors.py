"""What the exercises app answers when it will not do what was asked."""

from __future__ import annotations

from academy.web.refused import Refused


class PaperError(Refused):
    """A refusal about a paper or an answer sheet."""
