"""Levels of assessed heads: a model for the many, the story's own figures for the few. Pure.

level = ability + zone effect + severity + noise (sd 0.5), rounded to 0 to 4 (trade.md 7).
Heads that led to a sign-off are drawn again until they are competent and not near the line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from academy.craft.judging.marking import Marking, Scope
from academy.craft.judging.outcome import ByMarks, outcome
from academy.craft.judging.scale import MET

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.judging.marking import Place
    from academy.craft.judging.outcome import Outcome
    from academy.demo.dice import Dice

NOISE = 0.5
MOST_DRAWS = 400
ZONE_EFFECT = {"nape": -0.4, "side_left": -0.1, "side_right": -0.1}
HARDEST = ("V1", "G1", "G3")  # coverage and parting depth
COMMON_ABILITY = 3.25
ABILITY = {
    "tamsin-orle": 3.4,
    "wren-adeyemi-hall": 3.5,
    "callum-breck": 3.05,
    "nadia-sorrell": 3.1,
    "junia-pettifer": 3.45,
    "ravi-dunmore": 3.05,
    "hanne-elsworth": 3.15,
}


@dataclass(frozen=True)
class Severity:
    """How far an assessor's levels lie from even; `hardest` on coverage and parting depth."""

    common: float = 0.0
    hardest: float = 0.0

    def on(self, code: str) -> float:
        return self.hardest if code in HARDEST else self.common


SEVERITY = {
    "dilys-okafor-reed": Severity(),
    "bram-halvorsen": Severity(-0.45, -0.75),
    "yusra-lindqvist": Severity(0.1, 0.1),
}


@dataclass(frozen=True)
class Marked:
    """Levels by place, the overall rating that fits them, and what they come to."""

    levels: Mapping[Place, int]
    rating: int
    outcome: Outcome


def judged(empty: Marking, levels: Mapping[Place, int], rating: int | None = None) -> Marked:
    """What levels come to; without a rating the one that fits the head mark."""
    trial = outcome(replace(empty, marks=levels, rating=rating or 3))
    fitting = rating or rating_for(trial)
    return Marked(levels, fitting, outcome(replace(empty, marks=levels, rating=fitting)))


def rating_for(found: Outcome) -> int:
    """The overall rating an assessor gives whose impression agrees with the marks."""
    if found.head_mark is None:
        return 1
    if found.by_marks is ByMarks.NOT_YET:
        return 2 if found.head_mark > 45 else 1
    return 5 if found.head_mark >= 84 else 4


def told(empty: Marking, written: Mapping[str, str]) -> dict[Place, int]:
    """The levels of a story, one figure for each zone, as places."""
    return {
        (criterion.code, zone.code if zone else None): int(figure)
        for criterion in empty.criteria
        if criterion.code in written
        for zone, figure in zip(empty.where(criterion), written[criterion.code], strict=True)
    }


def competent(empty: Marking, person: str, marker: str, dice: Dice) -> Marked:
    """The model's levels, drawn until they are competent and no second mark is asked for."""
    marked = judged(empty, drawn(empty, person, marker, dice))
    for _ in range(MOST_DRAWS):
        if fits(marked):
            return marked
        marked = judged(empty, drawn(empty, person, marker, dice))
    raise ValueError(f"The model makes no competent head of {person} for {marker}.")


def fits(marked: Marked) -> bool:
    """Competent, and neither near the line nor at odds with the rating."""
    near = abs(float(marked.outcome.head_mark or 0) - 65) <= 3
    return marked.outcome.by_marks is ByMarks.COMPETENT and not near


def drawn(empty: Marking, person: str, marker: str, dice: Dice) -> dict[Place, int]:
    """One draw of the model; must-pass criteria are practised until they are met."""
    ability, severity = ABILITY.get(person, COMMON_ABILITY), SEVERITY[marker]
    levels: dict[Place, int] = {}
    for criterion in empty.criteria:
        for zone in empty.where(criterion):
            value = ability + severity.on(criterion.code) + dice.noise(NOISE)
            if criterion.scope is Scope.ZONES and zone is not None:
                value += ZONE_EFFECT.get(zone.code, 0.0)
            level = min(4, max(0, round(value)))
            lowest = MET if criterion.must_pass else 0
            levels[criterion.code, zone.code if zone else None] = max(level, lowest)
    return levels
