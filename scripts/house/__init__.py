"""What `scripts/setup.py` is made of: standard library only, as no package is there yet."""

from __future__ import annotations
