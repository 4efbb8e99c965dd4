"""Judging: the scale, an outcome from marks, how much evidence is enough, how many to check."""

from __future__ import annotations
