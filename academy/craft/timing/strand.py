"""The decision at a strand check: rinse, go on a step, look again, or stop.

Common practice, no source; the order of the questions is the trade page's (4.12): the person before
the ceiling, the ceiling before the strand. Times are minutes after midnight, lengths minutes.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from decimal import Decimal


class Decision(StrEnum):
    """What is done now."""

    RINSE = "rinse"
    EXTEND = "extend"
    CHECK = "check"
    STOP = "stop"

    @property
    def ends_it(self) -> bool:
        """Nothing stays on the hair."""
        return self in {Decision.RINSE, Decision.STOP}


class Ground(StrEnum):
    """Why: the first of these that fits."""

    HARM = "harm"
    CEILING = "ceiling"
    NO_CHECK = "no_check"
    REACHED = "reached"
    NO_STEP_LEFT = "no_step_left"
    STEP_LEFT = "step_left"

    @property
    def decision(self) -> Decision:
        """What follows from it."""
        return _FOLLOWS[self]


_FOLLOWS = {
    Ground.HARM: Decision.STOP,
    Ground.CEILING: Decision.RINSE,
    Ground.NO_CHECK: Decision.CHECK,
    Ground.REACHED: Decision.RINSE,
    Ground.NO_STEP_LEFT: Decision.RINSE,
    Ground.STEP_LEFT: Decision.EXTEND,
}


@dataclass(frozen=True, slots=True)
class StrandCheck:
    """One strand of one process as it is found.

    ``ended`` is the end of application, of a foil its closing. ``harmed``: burning, swelling, heat,
    or a strand that breaks or stretches and stays; tingling is none of these. ``valid``: wiped, and
    taken where this process has to be looked at. ``reached``: covered, or at target.
    """

    ended: Decimal
    now: Decimal
    ceiling: Decimal
    step: Decimal
    harmed: bool
    valid: bool
    reached: bool

    @property
    def end(self) -> Decimal:
        """When the ceiling is reached."""
        return self.ended + self.ceiling

    @property
    def ground(self) -> Ground:
        """The first reason that fits."""
        if self.harmed:
            return Ground.HARM
        if self.now >= self.end:
            return Ground.CEILING
        if not self.valid:
            return Ground.NO_CHECK
        if self.reached:
            return Ground.REACHED
        return Ground.NO_STEP_LEFT if self.now + self.step > self.end else Ground.STEP_LEFT

    @property
    def decision(self) -> Decision:
        """What is done now."""
        return self.ground.decision

    @property
    def correction_to_plan(self) -> bool:
        """The time is over, the hair is not there: another service has to put it right."""
        over = self.ground in {Ground.CEILING, Ground.NO_STEP_LEFT}
        return over and not self.reached

    @property
    def next_check(self) -> Decimal | None:
        """When to look next; None where it ends here."""
        return self.next_check_after(self.decision)

    def next_check_after(self, decision: Decision) -> Decimal | None:
        """When to look next if this is what is done."""
        if decision.ends_it:
            return None
        return self.now + self.step if decision is Decision.EXTEND else self.now

    @property
    def latest_rinse(self) -> Decimal:
        """The end of the ceiling; at once where that is past or somebody comes to harm."""
        at_once = self.ground in {Ground.HARM, Ground.CEILING}
        return self.now if at_once else self.end
