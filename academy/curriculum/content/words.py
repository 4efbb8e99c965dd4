"""How the keys of a module's content read."""

from __future__ import annotations


def tag_words(tag: str) -> str:
    """The tag of a practice target as words: "half-head" is "half head", "t-section" "T-section".

    A single letter names a shape, so it keeps its hyphen and stands as a capital.
    """
    first, _hyphen, rest = tag.partition("-")
    if rest and len(first) == 1:
        return f"{first.upper()}-{rest.replace('-', ' ')}"
    return tag.replace("-", " ")
