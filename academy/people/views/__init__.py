"""The people pages."""

from __future__ import annotations
