"""The four boxes of feedback: seen, against, why, next (trade.md 5.6). Plain values, no database.

A box counts when all its parts are filled; what is written is never weighed by its length. A head
may get several points, each with its four boxes; the fullest one is what a sign-off looks at.
"""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from academy.curriculum.reference import person_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

WHOLE_HEAD = "head"
MOST_POINTS = 6
"""More are not read any more; what is worth saying first stands in one or two."""
_WORD = re.compile(r"[^\W\d_]+")
BOX_WORDS = {"seen": "Seen", "against": "Against", "why": "Why", "next": "Next"}


@dataclass(frozen=True)
class Boxes:
    """One point of feedback. `seen_zone` is a zone or "head" for the whole head."""

    seen_zone: str = ""
    seen_what: str = ""
    against_criterion: str = ""
    against_level: int | None = None
    why: str = ""
    next_action: str = ""
    next_number: int | None = None
    next_on: date | None = None
    note: str = ""

    @property
    def filled(self) -> dict[str, bool]:
        """Whether each box has all its parts."""
        return {
            "seen": bool(self.seen_zone and self.seen_what.strip()),
            "against": bool(self.against_criterion) and self.against_level is not None,
            "why": bool(self.why.strip()),
            "next": bool(self.next_action.strip() and self.next_number and self.next_on),
        }

    @property
    def count(self) -> int:
        return sum(self.filled.values())

    @property
    def empty(self) -> bool:
        return not any(asdict(self).values())

    @property
    def open_words(self) -> list[str]:
        """The names of the boxes that are not filled."""
        return [BOX_WORDS[key] for key, done in self.filled.items() if not done]

    @property
    def personal_words(self) -> list[str]:
        """Words about the person that stand in the text (`shared/person_words.toml`)."""
        words = set(_WORD.findall(" ".join(self.texts).casefold()))
        return sorted(words & person_words())

    @property
    def texts(self) -> tuple[str, ...]:
        """What was written freely."""
        return (self.seen_what, self.why, self.next_action, self.note)

    def as_json(self) -> dict[str, Any]:
        data = asdict(self)
        data["next_on"] = self.next_on.isoformat() if self.next_on else None
        return data

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Boxes:
        day = data.get("next_on")
        return cls(**{**data, "next_on": date.fromisoformat(day) if day else None})


NO_BOXES = Boxes()


def fullest(points: Iterable[Boxes]) -> Boxes:
    """The point with the most whole boxes; an empty one where there is none."""
    return max(points, key=lambda point: point.count, default=NO_BOXES)


def point_prefix(number: int) -> str:
    """What the parts of a point are told apart by in a form; those of the first by nothing."""
    return "" if number == 1 else f"point{number}"


def part_name(number: int, part: str) -> str:
    """How a part of a point is called in a form: "why" of the first, "point2-why" of the second."""
    prefix = point_prefix(number)
    return f"{prefix}-{part}" if prefix else part
