"""Throwing a scene: what decides first, then the figures that lead to it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.strand_check_decision.scene import (
    AT_TARGET,
    BREAKS,
    BURNS,
    CALM,
    COLOURS,
    COVERED,
    FIRST,
    FOILS,
    GOOD,
    LAST,
    NOT_YET,
    PROCESSES,
    STAYS,
    TINGLES,
    TRANSLUCENT,
    Scene,
)
from academy.craft.exercise.question import Level
from academy.craft.rules import DecidedBy
from academy.craft.timing.strand import Ground

if TYPE_CHECKING:
    from academy.craft.exercise.family import Dice
    from academy.craft.rules import Decided, Rules

GROUNDS = (
    Ground.HARM,
    Ground.CEILING,
    Ground.NO_CHECK,
    Ground.REACHED,
    Ground.NO_STEP_LEFT,
    Ground.STEP_LEFT,
    Ground.STEP_LEFT,
)
FIRST_GROUNDS = (Ground.REACHED, Ground.STEP_LEFT)
EARLIEST, LATEST = 9 * 60, 17 * 60
_STILL_OPEN = {Ground.STEP_LEFT, Ground.NO_STEP_LEFT}


class Clock:
    """The rules about time of one process."""

    def __init__(self, process: str, rules: Rules) -> None:
        self.process = process
        self.ceiling = rules.decide("development", process=process, what="ceiling")
        self.step = rules.decide("development", process=process, what="extension")
        look = "first_check" if process == FOILS else "minutes"
        self.first_check = rules.number("development", process=process, what=look)

    @property
    def whole(self) -> bool:
        """Ceiling and step are whole minutes, and a step fits in."""
        ceiling, step = self.ceiling.number, self.step.number
        return ceiling == int(ceiling) and step == int(step) and step < ceiling

    @property
    def decided(self) -> tuple[Decided, Decided]:
        """What a question rests on."""
        return self.ceiling, self.step

    def values(self) -> dict[str, Any]:
        """What the parameters keep of it."""
        return {
            "ceiling": self.ceiling.number,
            "ceiling_rule": self.ceiling.sentence,
            "step": self.step.number,
            "step_shown": self.step.decided_by is not DecidedBy.DEFAULT,
        }

    def elapsed(self, ground: Ground, dice: Dice, apart: int) -> int | None:
        """Minutes since the end of application that this ground needs; None where it has none."""
        ceiling, step = int(self.ceiling.number), int(self.step.number)
        soonest = max(1, min(int(self.first_check), ceiling - step))
        low, high = {
            Ground.CEILING: (ceiling, ceiling + 5),
            Ground.NO_STEP_LEFT: (ceiling - step + 1, ceiling - 1),
            Ground.STEP_LEFT: (soonest, ceiling - step),
        }.get(ground, (soonest, ceiling - 1))
        return dice.whole(low, high, apart) if low <= high else None


def throw_scene(dice: Dice, level: Level, rules: Rules) -> tuple[Scene, tuple[Decided, ...]] | None:
    """One scene, what decides it thrown first; None where the rules have no room for it."""
    process = dice.pick(tuple(PROCESSES) if level is Level.WORKING else COLOURS)
    clocks = [Clock(process, rules)]
    if level is Level.EXAM:
        clocks.append(Clock(FOILS, rules))
    if not all(clock.whole for clock in clocks):
        return None
    now = dice.whole(EARLIEST, LATEST, 5) + 60
    grounds = FIRST_GROUNDS if level is Level.FIRST else GROUNDS
    found = []
    for clock in clocks:
        side = _found(clock, dice.pick(grounds), now, dice, level)
        if side is None:
            return None
        found.append(side)
    scalps = [side.pop("scalp") for side in found]
    scalp = BURNS if BURNS in scalps else CALM
    # Tingling comes up among calm scalps: it changes nothing.
    if scalp == CALM and level is not Level.FIRST and dice.chance(5):
        scalp = TINGLES
    second = {f"foil_{name}": value for side in found[1:] for name, value in side.items()}
    scene = Scene(level=str(level), now=now, scalp=scalp, process=process, **found[0], **second)
    return scene, tuple(rule for clock in clocks for rule in clock.decided)


def settle(scene: Scene, rules: Rules) -> tuple[Scene, tuple[Decided, ...]] | None:
    """The same scene under other rules."""
    clocks = [Clock(side.process, rules) for side in scene.sides]
    if not all(clock.whole for clock in clocks):
        return None
    kept = clocks[0].values()
    if len(clocks) > 1:
        kept |= {f"foil_{name}": value for name, value in clocks[1].values().items()}
    return replace(scene, **kept), tuple(rule for clock in clocks for rule in clock.decided)


def _found(
    clock: Clock, ground: Ground, now: int, dice: Dice, level: Level
) -> dict[str, Any] | None:
    """What is found where this ground decides, the rest by chance."""
    elapsed = clock.elapsed(ground, dice, 5 if level is Level.FIRST else 1)
    if elapsed is None:
        return None
    foils = clock.process == FOILS
    done, open_still = (AT_TARGET, NOT_YET) if foils else (COVERED, TRANSLUCENT)
    right, wrong = (FIRST, LAST) if foils else (LAST, FIRST)
    reached = ground is Ground.REACHED or (ground not in _STILL_OPEN and dice.chance(3))
    wiped, place = True, right
    if ground is Ground.NO_CHECK:
        wiped, place = dice.pick(((False, right), (True, wrong), (False, wrong)))
    scalp, strand = CALM, GOOD
    if ground is Ground.HARM:
        scalp, strand = dice.pick(((BURNS, GOOD), (CALM, STAYS), (CALM, BREAKS)))
    return {
        "scalp": scalp,
        "ended": now - elapsed,
        "look": done if reached else open_still,
        "strand": strand,
        "place": place,
        "wiped": wiped,
        **clock.values(),
    }
