"""Evidence packs: a decision with everything that proves it, as one file."""

from __future__ import annotations
