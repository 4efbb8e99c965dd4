"""The forms of the curriculum."""

from __future__ import annotations
