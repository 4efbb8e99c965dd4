"""The short number on a printed paper, by which its sheet is found when answers are entered.

It is worked out, not stored: from the random names of paper and person and the edition, so the
same paper printed again has the same number, and nobody reads a person out of it.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.exercises.models import Paper
    from academy.people.models import Person

# No vowels, so no words; no 0, 1, L or Y, which are misread.
_SIGNS = "23456789BCDFGHJKMNPQRSTVWXZ"
_LENGTH = 6


def form_number(paper: Paper, person: Person, edition: int | None = None) -> str:
    """Such as "K7M-4QX"; of the paper's edition unless an earlier one is named.

    27^6 numbers: two of 500 apprentices on one paper share one once in 3,000 papers, and one
    misread sign names somebody else on it once in 30,000 times.
    """
    named = f"{paper.token}/{edition or paper.edition}/{person.token}"
    value = int.from_bytes(sha256(named.encode()).digest()[:8], "big")
    signs = ""
    for _ in range(_LENGTH):
        value, rest = divmod(value, len(_SIGNS))
        signs += _SIGNS[rest]
    return f"{signs[:3]}-{signs[3:]}"


def plain(text: str) -> str:
    """A number as it is compared: capitals, without hyphens and spaces."""
    return "".join(text.upper().replace("-", " ").split())


def looks_like_one(text: str) -> bool:
    """Whether a text can be a form number at all."""
    signs = plain(text)
    return len(signs) == _LENGTH and set(signs) <= set(_SIGNS)


def people_of(text: str, paper: Paper, people: Iterable[Person]) -> list[Person]:
    """Whose form of the paper's edition bears this number: one, or none; hardly ever two."""
    wanted = plain(text)
    return [person for person in people if plain(form_number(paper, person)) == wanted]


def is_of_an_earlier_edition(text: str, paper: Paper, people: Iterable[Person]) -> bool:
    """Whether the number stands on a form that was printed before the paper was edited."""
    wanted, everybody = plain(text), list(people)
    return any(
        plain(form_number(paper, person, edition)) == wanted
        for edition in range(1, paper.edition)
        for person in everybody
    )
