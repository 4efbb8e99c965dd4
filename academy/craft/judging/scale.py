"""The five levels of a criterion and the five overall ratings, with their words.

Source: trade.md 3.0 (ladder) and 5.1 step 9 (ratings); the short words stand on the level boxes.
A criterion is met at level 3. Nothing here is a percentage: levels are ordered words.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Final


class Level(IntEnum):
    """What was shown for one criterion in one place."""

    NOT_SHOWN = 0
    WEAK = 1
    NEARLY = 2
    SOUND = 3
    SURE = 4

    @property
    def word(self) -> str:
        """The word on the level box."""
        return _LEVEL_WORDS[self]

    @property
    def ladder(self) -> str:
        """What the level means behind every criterion's own text."""
        return _LADDER[self]


class Rating(IntEnum):
    """The assessor's overall impression, given before any sum is shown."""

    CLEARLY_NOT_YET = 1
    JUST_BELOW = 2
    BORDERLINE = 3
    SOUND = 4
    VERY_GOOD = 5

    @property
    def word(self) -> str:
        """The word beside the number."""
        return _RATING_WORDS[self]


MET: Final = Level.SOUND
HIGHEST: Final = Level.SURE
# A judged zone at this level or under decides "not yet" by itself, unless the rules say otherwise.
WEAK_ZONE: Final = Level.WEAK

_LEVEL_WORDS = {
    Level.NOT_SHOWN: "not shown",
    Level.WEAK: "weak",
    Level.NEARLY: "nearly",
    Level.SOUND: "sound",
    Level.SURE: "sure",
}
_LADDER = {
    Level.NOT_SHOWN: "not done, or unsafe and stopped",
    Level.WEAK: "tried, wrong in a way that must be redone",
    Level.NEARLY: "right in part, the assessor had to step in",
    Level.SOUND: "to standard, unaided",
    Level.SURE: "to standard, even and calm, and can say why",
}
_RATING_WORDS = {
    Rating.CLEARLY_NOT_YET: "clearly not yet",
    Rating.JUST_BELOW: "just below",
    Rating.BORDERLINE: "borderline",
    Rating.SOUND: "sound",
    Rating.VERY_GOOD: "very good",
}
