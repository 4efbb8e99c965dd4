"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.strand_check_decision.scene import FOILS, Scene, Side
from academy.craft.exercise.families.strand_check_decision.sheet import (
    choices_of,
    givens_of,
    lines_of,
    minutes_in_words,
    needs_of,
    next_check_sum,
    own_decision,
    text_of,
    unsafe_in,
)
from academy.craft.exercise.families.strand_check_decision.throwing import settle, throw_scene
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, scalars_of
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.measure import NONE, Kind, Value
from academy.craft.timing.strand import Ground

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

_PAST_CEILING = "The ceiling ends it; an uncovered place is corrected later."
_PERSON_FIRST = "The person and the hair come before the colour."
_RIGHT_PLACE = (
    "Colour: the place applied last is the least developed; lightener: the first foil is the "
    "furthest. Wipe it and look."
)
_RULES = ("ceiling_rule", "step_shown")


class StrandCheckDecision:
    """Exercise family ``strand-check-decision``."""

    key = "strand-check-decision"
    version = 1
    title = "Deciding at a strand check"
    trains = "Reading a strand and acting within the ceiling"
    parameters = Scene

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Scene] | None:
        """A scene in which one of the six rules decides; at level exam two processes."""
        thrown = throw_scene(dice, level, rules)
        return None if thrown is None else Drawn(*thrown)

    def under(self, drawn: Scene, rules: Rules) -> Drawn[Scene] | None:
        """The same scene under another ceiling or step."""
        settled = settle(drawn, rules)
        return None if settled is None else Drawn(*settled)

    def identity(self, drawn: Scene) -> str:
        """All that is found, and the ceilings; not who set them."""
        found = scalars_of(drawn).items()
        return "/".join(str(value) for name, value in found if not name.endswith(_RULES))

    def key_of(self, drawn: Scene) -> dict[str, Value]:
        """Decision, next check and latest rinse of each process."""
        key: dict[str, Value] = {}
        for side in drawn.sides:
            check = side.check
            after = check.next_check
            key[side.field("decision")] = str(check.decision)
            key[side.field("next_check")] = NONE if after is None else after
            key[side.field("latest_rinse")] = check.latest_rinse
        return key

    def fields(self, drawn: Scene, tolerances: Tolerances) -> tuple[Field, ...]:
        """The decision weighs double; level first leaves the latest rinse out."""
        del tolerances
        return tuple(field for side in drawn.sides for field in _fields_of(side, drawn.level))

    def mistakes(self, drawn: Scene) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        for side in drawn.sides:
            yield from _slips_of(side)

    def text(self, drawn: Scene) -> str:
        """One scene."""
        return text_of(drawn)

    def givens(self, drawn: Scene) -> tuple[Given, ...]:
        """What was found, process by process."""
        return tuple(givens_of(drawn))

    def lines(self, drawn: Scene, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Person first, then the check, the result, the time left, the decision and the times."""
        return tuple(lines_of(drawn, own))

    def follow(self, drawn: Scene, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """The next check on the own decision, if that is not unsafe."""
        for side in drawn.sides:
            decision = own_decision(side, own)
            if field == side.field("next_check") and decision is not None:
                after = side.check.next_check_after(decision)
                yield Follow(NONE if after is None else after, next_check_sum(side, decision))


def _fields_of(side: Side, level: str) -> Iterator[Field]:
    yield Field(
        side.field("decision"),
        side.label("What you do now"),
        Kind.CHOICE,
        weight=2,
        safety=Safety.LISTED,
        choices=choices_of(side),
        unsafe=unsafe_in(side),
        needs=needs_of(side, "decision"),
    )
    yield Field(
        side.field("next_check"),
        side.label("Next check"),
        Kind.CLOCK,
        or_none=True,
        needs=needs_of(side, "next_check"),
    )
    if level != Level.FIRST:
        yield Field(
            side.field("latest_rinse"),
            side.label("Latest rinse"),
            Kind.CLOCK,
            safety=Safety.LATER,
            needs=needs_of(side, "latest_rinse"),
        )


def _slips_of(side: Side) -> Iterator[Mistake]:
    check, ground = side.check, side.check.ground
    decision, next_check = side.field("decision"), side.field("next_check")
    step = minutes_in_words(side.step)
    one, two = check.now + check.step, check.now + 2 * check.step
    if ground in {Ground.CEILING, Ground.NO_STEP_LEFT}:
        yield Mistake("past-ceiling", next_check, one, _PAST_CEILING)
        yield Mistake("past-ceiling", next_check, two, _PAST_CEILING)
        yield Mistake("past-ceiling", decision, "extend", _PAST_CEILING)
    elif ground is Ground.STEP_LEFT:
        yield Mistake("long-step", next_check, two, f"One step is {step}.")
        open_still = (
            "Not yet is not done" if side.process == FOILS else "Translucent is not covered"
        )
        verb = "is" if check.step == 1 else "are"
        sentence = f"{open_still}; {step.replace(' ', ' more ')} {verb} allowed."
        yield Mistake("rinse-translucent", decision, "rinse", sentence)
    elif ground is Ground.HARM:
        yield Mistake("ignored-damage", next_check, one, _PERSON_FIRST)
        yield Mistake("ignored-damage", decision, "extend", _PERSON_FIRST)
        yield Mistake("ignored-damage", decision, "rinse", _PERSON_FIRST)
    elif ground is Ground.NO_CHECK:
        yield Mistake("wrong-place", decision, "extend", _RIGHT_PLACE)
        yield Mistake("wrong-place", decision, "rinse", _RIGHT_PLACE)
