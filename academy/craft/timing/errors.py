"""The one error of the timing part."""

from __future__ import annotations


class TimingError(Exception):
    """A plan that no clock can hold, in a sentence that says why."""
