"""The pages of the curriculum."""

from __future__ import annotations
