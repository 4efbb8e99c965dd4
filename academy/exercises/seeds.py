"""Seeds as people read and type them: 5190-7734."""

from __future__ import annotations

import re
import secrets

from academy.exercises.errors import PaperError
from academy.exercises.services.wanted import HIGHEST_SEED

_DIGITS = 8


def new_seed() -> int:
    return secrets.randbelow(10**_DIGITS)


def seed_words(seed: int) -> str:
    """Eight digits or more in groups of four from the right."""
    text = f"{seed:0{_DIGITS}d}"
    groups = [text[max(end - 4, 0) : end] for end in range(len(text), 0, -4)]
    return "-".join(reversed(groups))


def read_seed(text: str) -> int:
    """The seed of a text with or without hyphens and spaces, or `PaperError`."""
    digits = re.sub(r"[\s-]", "", text)
    if not (digits.isascii() and digits.isdigit()) or int(digits[:30]) > HIGHEST_SEED:
        raise PaperError("A seed is made of digits, for example 5190-7734.", field="seed")
    return int(digits)
