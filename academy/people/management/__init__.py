"""Commands of the people app."""

from __future__ import annotations
