"""What the exercises app answers when it will not do what was asked."""

from __future__ import annotations

from academy.web.refused import Refused


class PaperError(Refused):
    """A refusal about a paper or an answer sheet.

    `part` is the part of the paper at fault, counted from 1.
    """

    def __init__(self, message: str, *, field: str | None = None, part: int | None = None) -> None:
        super().__init__(message, field=field)
        self.part = part
