"""The acts of the demo: each gives the events of one part of the academy's life."""

from __future__ import annotations
