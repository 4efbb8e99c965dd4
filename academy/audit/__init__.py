"""The record: one chained, append-only entry for everything that was decided."""

from __future__ import annotations
