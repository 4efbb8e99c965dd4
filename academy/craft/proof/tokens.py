"""Hashes that stand for personal words, so that a record stays provable after they are erased."""

from __future__ import annotations

import hmac
import unicodedata

from academy.craft.proof.errors import ProofError

SHORTEST_KEY_BYTES = 16


def salted_hash(text: str, *, key: bytes, salt: str = "") -> str:
    """HMAC-SHA-256 of the text, as 64 hexadecimal digits.

    The text is brought to Unicode form NFC first, so that one word typed on two keyboards gives
    one hash. Without the key nobody can try out likely words; with a salt that is kept beside
    the text and erased with it, nobody can at all.
    """
    if len(key) < SHORTEST_KEY_BYTES:
        raise ProofError(f"The key needs at least {SHORTEST_KEY_BYTES} bytes.")
    # The length of the salt parts it from the text: ("a", "bc") and ("ab", "c") differ.
    plain = f"{len(salt)}:{salt}{unicodedata.normalize('NFC', text)}"
    return hmac.new(key, plain.encode(), "sha256").hexdigest()
