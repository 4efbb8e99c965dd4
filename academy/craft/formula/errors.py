"""The one error of the formulation part."""

from __future__ import annotations


class FormulaError(Exception):
    """A mixture that cannot be made, in a sentence that says why."""
