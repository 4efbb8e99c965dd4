"""What is printed: the scene, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.strand_check_decision.scene import (
    CALM,
    DOING,
    FOILS,
    PROCESSES,
    TINGLES,
    Scene,
    Side,
)
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.measure import NONE, Choice, Value, clock, shown
from academy.craft.timing.strand import Decision, Ground

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from decimal import Decimal

_ASKED = "What do you do now, when is the next check, when is the latest rinse?"
_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_WHY = {
    Ground.HARM: "the person and the hair come first",
    Ground.CEILING: "the ceiling is reached",
    Ground.NO_CHECK: "this was no check",
    Ground.REACHED: "it is done",
    Ground.NO_STEP_LEFT: "one more step would pass the ceiling",
    Ground.STEP_LEFT: "not done, and one more step fits",
}
NEEDS: Mapping[str, tuple[str, ...]] = {
    "decision": ("Hair looks", "Strand", "Scalp", "Looked at", "Wiped", "Now", "Ceiling"),
    "next_check": ("Now", "House rule, one step", "Ceiling"),
    "latest_rinse": ("Application ended", "First foil closed", "Ceiling", "Now"),
}


def minutes_in_words(minutes: Decimal) -> str:
    """Whole minutes up to ten as a word: "five minutes", "one minute"."""
    return f"{_WORDS[int(minutes)]} {'minute' if minutes == 1 else 'minutes'}"


def choices_of(side: Side) -> tuple[Choice, ...]:
    """The four decisions."""
    step = shown(side.step)
    return (
        Choice("rinse", "Rinse now", ("rinse", "rinse now and plan a correction")),
        Choice("extend", f"Extend {step} min and check again", ("extend", f"extend {step}")),
        Choice("check", "Check again properly now", ("check again", "check properly now")),
        Choice("stop", "Stop, cool rinse, report", ("stop", "stop and report")),
    )


def needs_of(side: Side, key: str) -> tuple[str, ...]:
    """The givens a field is worked from; those of the person stand alone."""
    common = {"Now", "Scalp"}
    return tuple(words if words in common else side.label(words) for words in NEEDS[key])


def text_of(scene: Scene) -> str:
    """A scene in four lines; at level exam what was found stands in the table."""
    one = scene.sides[0]
    if scene.level == Level.EXAM:
        return (
            f"You are {DOING[one.process]} at the roots and {DOING[FOILS]}. "
            f"It is {clock(scene.now)}. You have just looked at both; what you found stands "
            f"below. {_ASKED} Answer for each."
        )
    began = f"You are {DOING[one.process]}; "
    began += "the first foil closed" if one.process == FOILS else "application ended"
    found = (
        f"{began} at {clock(one.ended)}. It is {clock(one.now)}. You look at {one.where}, "
        f"{_how(one)}: {one.look}. "
    )
    if scene.level == Level.FIRST:
        return found + "Strand good, scalp calm. What do you do now, and when is the next check?"
    return found + f"The strand {one.strand}, the scalp {_scalp(one)}. {_ASKED}"


def givens_of(scene: Scene) -> Iterator[Given]:
    """What was found, process by process."""
    yield Given("Now", clock(scene.now))
    yield Given("Scalp", scene.scalp)
    for side in scene.sides:
        started = "First foil closed" if side.process == FOILS else "Application ended"
        yield Given(side.label("Process"), PROCESSES[side.process])
        yield Given(side.label(started), clock(side.ended))
        yield Given(side.label("Ceiling"), shown(side.ceiling), "min")
        if side.step_shown:
            yield Given(side.label("House rule, one step"), shown(side.step), "min")
        yield Given(side.label("Looked at"), side.where)
        yield Given(side.label("Wiped"), "yes" if side.wiped else "no")
        yield Given(side.label("Hair looks"), side.look)
        yield Given(side.label("Strand"), side.strand)


def lines_of(scene: Scene, own: Mapping[str, Value]) -> Iterator[Line]:
    """Person first, then the check, the result, the time left, the decision and the times."""
    for side in scene.sides:
        lines = tuple(_lines_of_side(side, own))
        yield from lines[:-1] if scene.level == Level.FIRST else lines


def own_decision(side: Side, own: Mapping[str, Value]) -> Decision | None:
    """What was decided instead, where that is a decision the next check can follow from."""
    chosen = own.get(side.field("decision"))
    if not isinstance(chosen, str) or chosen in unsafe_in(side):
        return None
    return Decision(chosen)


def unsafe_in(side: Side) -> tuple[str, ...]:
    """Going on where it has to end."""
    return ("extend", "check") if side.check.decision.ends_it else ()


def next_check_sum(side: Side, decision: Decision) -> str:
    """How the next check comes about."""
    if decision.ends_it:
        return "it ends here"
    now = clock(side.now)
    return f"{now} + {shown(side.step)} min" if decision is Decision.EXTEND else f"at once, {now}"


def _lines_of_side(side: Side, own: Mapping[str, Value]) -> Iterator[Line]:
    check = side.check
    scalp = "scalp tingles: ask, protect, note it" if side.scalp == TINGLES else _found_scalp(side)
    yield Line(
        side.label("Person first"),
        f"{scalp}; the strand {side.strand}",
        "stop" if check.harmed else "no reason to stop",
    )
    yield Line(
        side.label("Was the check valid?"),
        f"{side.where}, {_how(side)}",
        "yes" if check.valid else f"no: look where it is right, {_right_place(side)}, and wipe",
    )
    yield Line(side.label("Result"), side.look, "done" if check.reached else "not done")
    end = clock(check.end)
    yield Line(
        side.label("Time left"),
        f"{clock(side.now)} + {shown(side.step)} min = {clock(check.now + check.step)}; "
        f"the ceiling is at {end}",
        _time_left(side),
    )
    decision = next(c.label for c in choices_of(side) if c.key == check.decision)
    why = _WHY[check.ground] + ("; plan a correction" if check.correction_to_plan else "")
    yield Line(side.label("Decision"), why, decision, side.field("decision"))
    chosen = own_decision(side, own) or check.decision
    after = check.next_check_after(chosen)
    yield Line(
        side.label("Next check"),
        next_check_sum(side, chosen),
        NONE if after is None else clock(after),
        side.field("next_check"),
    )
    at_once = check.ground in {Ground.HARM, Ground.CEILING}
    last = f"{clock(side.ended)} + {shown(side.ceiling)} min"
    yield Line(
        side.label(f"Latest rinse, ceiling {side.ceiling_rule}"),
        f"now, {clock(side.now)}" if at_once else last,
        clock(check.latest_rinse),
        side.field("latest_rinse"),
    )


def _how(side: Side) -> str:
    return "wiped clean" if side.wiped else "through the product"


def _scalp(side: Side) -> str:
    return "is calm" if side.scalp == CALM else side.scalp


def _found_scalp(side: Side) -> str:
    return f"scalp {_scalp(side)}"


def _right_place(side: Side) -> str:
    if side.process == FOILS:
        return f"the foil that closed {side.right_place}"
    return f"the place applied {side.right_place}"


def _time_left(side: Side) -> str:
    check = side.check
    if check.now >= check.end:
        return "none"
    return "one more step fits" if check.now + check.step <= check.end else "no whole step"
