"""Pages of papers and answer sheets."""

from __future__ import annotations
