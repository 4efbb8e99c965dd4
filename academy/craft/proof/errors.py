"""The one error of this part."""

from __future__ import annotations


class ProofError(ValueError):
    """Something cannot be proved or put into the canonical form; the message says what to do."""
