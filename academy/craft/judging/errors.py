"""The one error of this part."""

from __future__ import annotations


class JudgingError(ValueError):
    """Nothing can be decided from what was given; the message says what to do about it."""
