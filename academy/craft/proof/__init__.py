"""Proof: canonical JSON, the hash chain, salted hashes. No Django, no clock, no randomness."""

from __future__ import annotations
