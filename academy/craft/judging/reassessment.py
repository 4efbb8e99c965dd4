"""What comes after a "not yet": how much is judged again, and after which practice.

Source: trade.md 5.5 (academy rules). Days and people are the site's business; here are the scope
of the next head and the practice that counts towards it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import Marking, Place, missed

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence


class WholeBecause(StrEnum):
    """Why the whole module is judged again, and not only what was missed."""

    STOP = "stop"
    LEFT_OUT = "left_out"
    MUST = "must"
    ASKED = "asked"
    EDITION = "edition"


@dataclass(frozen=True, slots=True)
class Again:
    """What is judged again after a "not yet".

    `missed` are the places under 3, in the module's order. `whole_because` is empty for a partial
    re-assessment: then `criteria` are the missed ones, and the assessor adds `others` more from
    `choice`. For a whole one `criteria` are all and `choice` is empty.
    """

    missed: tuple[Place, ...]
    whole_because: tuple[WholeBecause, ...]
    criteria: tuple[str, ...]
    choice: tuple[str, ...] = ()
    others: int = 0

    @property
    def partial(self) -> bool:
        return not self.whole_because

    def scope(self, chosen: Collection[str]) -> tuple[str, ...]:
        """The criteria to judge, given the chosen ones; `JudgingError` for a wrong choice."""
        wrong = set(chosen) - set(self.choice)
        if wrong:
            raise JudgingError(f"{', '.join(sorted(wrong))} is not among the other criteria.")
        if len(set(chosen)) != self.others:
            raise JudgingError(f"Choose {self.others} besides those that were missed.")
        return (*self.criteria, *(code for code in self.choice if code in chosen))


def again_after(
    markings: Sequence[Marking], codes: Sequence[str], *, asked_whole: bool, others: int
) -> Again:
    """What is judged again after a head whose `markings` (one, or two that agree) are "not yet".

    `codes` are all criteria of the module in their order; `asked_whole` says that the educator
    asked for the whole module; `others` is how many more the assessor adds to a partial one.
    """
    places = {place for marking in markings for place in missed(marking)}
    order = {code: number for number, code in enumerate(codes)}
    zones = {zone.code: number for marking in markings for number, zone in enumerate(marking.zones)}
    in_order = tuple(sorted(places, key=lambda at: (order[at[0]], zones.get(at[1] or "", -1))))
    because = [
        why
        for why, holds in (
            (WholeBecause.STOP, any(marking.stops for marking in markings)),
            (WholeBecause.LEFT_OUT, any(map(_left_too_much_out, markings))),
            (WholeBecause.MUST, any(map(_missed_must_pass, markings))),
            (WholeBecause.ASKED, asked_whole),
        )
        if holds
    ]
    if because:
        return Again(in_order, tuple(because), tuple(codes))
    if not places:
        raise JudgingError("Nothing was missed on this head, so nothing is judged again.")
    criteria = tuple(code for code in codes if any(code == place[0] for place in places))
    choice = tuple(code for code in codes if code not in criteria)
    return Again(in_order, (), criteria, choice, min(others, len(choice)))


def _left_too_much_out(marking: Marking) -> bool:
    if marking.stops:
        return False
    most = 0 if marking.partial else marking.rules.most_left_out
    return len(marking.left_out) > most


def _missed_must_pass(marking: Marking) -> bool:
    must = {criterion.code for criterion in marking.criteria if criterion.must_pass}
    return any(code in must for code, _ in missed(marking))


@dataclass(frozen=True, slots=True)
class Practised:
    """A logged session since the "not yet": so many heads, and what was worked on where."""

    heads: int
    criteria: frozenset[str]
    zones: frozenset[str]

    def covers(self, place: Place) -> bool:
        """Whether it names the criterion and, for a criterion judged by zone, the zone."""
        criterion, zone = place
        return criterion in self.criteria and (zone is None or zone in self.zones)


@dataclass(frozen=True, slots=True)
class PracticeNeeded:
    """How many practice heads one missed place asks for, and how many there are.

    `place` is None where nothing is named: after a stop before the first level.
    """

    place: Place | None
    done: int
    asked: int

    @property
    def missing(self) -> int:
        return max(0, self.asked - self.done)


def practice_needed(
    places: Sequence[Place], sessions: Iterable[Practised], *, heads: int
) -> tuple[PracticeNeeded, ...]:
    """For each missed place, the practice heads since that cover its criterion and zone."""
    rows = list(sessions)
    if not places:
        return (PracticeNeeded(None, sum(row.heads for row in rows), heads),)
    return tuple(
        PracticeNeeded(place, sum(row.heads for row in rows if row.covers(place)), heads)
        for place in places
    )
