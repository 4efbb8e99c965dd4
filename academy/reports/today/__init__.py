"""The first page of each role: it answers that role's question from the data."""

from __future__ import annotations
