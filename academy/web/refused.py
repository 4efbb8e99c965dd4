"""What a service raises when it will not do what was asked."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818  (it is an answer, not a fault of the program)
    """A sentence a person can act on, and the form field it belongs to, if any.

    Every app has one subclass. Views turn it into a form error with
    `BlockworkForm.refuse`; commands print it and end with a non-zero code.
    """

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
