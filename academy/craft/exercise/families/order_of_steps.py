"""The steps of a module, shuffled: put them back in order.

Decisions (the trade page has no such family; it is made from a module's own steps):

- The order of the module's sheet is the right one. A step that stands twice in a module has no one
  place and is left out; a module with fewer than five others gives no question.
- Level first: five steps that follow each other. Level working: six from anywhere in the module, or
  all five of a short one. Level exam: from eight steps on, a run of the module with one step
  missing, which is to be found among steps from before and after the run; five steps of eight, then
  one more for each more, at most eight. A shorter module is ordered whole.
- Where a step is missing it lies between the first and the last of those that are printed, and the
  others on offer do not: so there is one right answer, and it gives no neighbour away.
- The order is all or nothing and weighs three. Two neighbours exchanged are told which comes first;
  the whole turned round is its own slip. Nothing carries over.
- The same steps under other letters are another question.
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from academy.craft.exercise.family import Dice, Drawn, Follow, Material, Tolerances
from academy.craft.exercise.ordering import (
    LETTERS,
    lettered,
    order_field,
    order_line,
    order_of,
    order_slips,
    shuffled,
)
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.measure import Kind, Order, Value

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from academy.craft.rules import Rules

FEWEST, SPREAD, MOST = 5, 6, 8
MISSING_FROM = 8
LEFT_OVER = 3
MOST_OTHERS = 3
LONGEST_NAME = 8


@dataclass(frozen=True, slots=True)
class Steps:
    """Some steps of a module; lists are lines of a text, and so are kept as they were.

    ``steps`` are in order and ``printed`` as they are lettered. At level exam ``missing`` is the
    step left out between them, ``before`` and ``after`` are other steps on offer, and ``offered``
    is all of these as they are lettered.
    """

    level: str
    title: str
    steps: str
    printed: str
    missing: str = ""
    before: str = ""
    after: str = ""
    offered: str = ""

    @property
    def in_order(self) -> list[str]:
        """The steps from first to last."""
        return self.steps.splitlines()

    @property
    def right(self) -> Order:
        """Their letters in order."""
        return order_of(self.in_order, self.printed.splitlines())

    @property
    def missing_letter(self) -> str:
        """The letter of the step left out; the letters go on after those of the steps."""
        return LETTERS[len(self.in_order) + self.offered.splitlines().index(self.missing)]


class OrderOfSteps:
    """Exercise family ``order-of-steps``; it draws from the material it was made from."""

    key = "order-of-steps"
    version = 1
    title = "Order of steps"
    trains = "Knowing a module’s steps and which comes before which"
    parameters = Steps

    def __init__(self, material: Material | None = None) -> None:
        self._title = " ".join(material.title.split()) if material else ""
        self._steps = _single(material.steps) if material else ()

    def made_from(self, material: Material) -> OrderOfSteps:
        """The family on a module's title and steps."""
        return OrderOfSteps(material)

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Steps] | None:
        """Some of the steps, shuffled; None where the module has too few."""
        del rules
        many = len(self._steps)
        if many < FEWEST:
            return None
        if level is Level.EXAM and many >= MISSING_FROM:
            return Drawn(self._with_one_missing(dice))
        if level is Level.FIRST:
            start = dice.whole(0, many - FEWEST)
            chosen = self._steps[start : start + FEWEST]
        else:
            most = SPREAD if level is Level.WORKING else MOST
            chosen = _some(dice, self._steps, most)
        return Drawn(Steps(str(level), self._title, _text(chosen), _text(shuffled(dice, chosen))))

    def _with_one_missing(self, dice: Dice) -> Steps:
        many = len(self._steps)
        shown = min(MOST, many - LEFT_OVER)
        start = dice.whole(0, many - shown - 1)
        run = self._steps[start : start + shown + 1]
        gap = dice.whole(1, shown - 1)
        chosen, missing = (*run[:gap], *run[gap + 1 :]), run[gap]
        outside = (*self._steps[:start], *self._steps[start + shown + 1 :])
        others = _some(dice, outside, MOST_OTHERS)
        return Steps(
            str(Level.EXAM),
            self._title,
            _text(chosen),
            _text(shuffled(dice, chosen)),
            missing=missing,
            before=_text([step for step in others if step in self._steps[:start]]),
            after=_text([step for step in others if step not in self._steps[:start]]),
            offered=_text(shuffled(dice, (*others, missing))),
        )

    def under(self, drawn: Steps, rules: Rules) -> Drawn[Steps]:
        """No rule has a say in it."""
        del rules
        return Drawn(drawn)

    def identity(self, drawn: Steps) -> str:
        """Which steps under which letters, as a short digest of their words."""
        words = "\n".join((drawn.title, drawn.steps, drawn.printed, drawn.offered))
        return sha256(words.encode()).hexdigest()[:24]

    def key_of(self, drawn: Steps) -> dict[str, Value]:
        """The letters in order, and that of the step left out."""
        key: dict[str, Value] = {"order": drawn.right}
        return key | {"missing": drawn.missing_letter} if drawn.missing else key

    def fields(self, drawn: Steps, tolerances: Tolerances) -> tuple[Field, ...]:
        """The order (three marks), and at level exam the step left out."""
        del tolerances
        printed = lettered(drawn.printed.splitlines())
        order = order_field("Steps, first to last", printed)
        if not drawn.missing:
            return (order,)
        offered = lettered(drawn.offered.splitlines(), len(printed))
        return order, Field("missing", "Step left out", Kind.CHOICE, choices=offered)

    def mistakes(self, drawn: Steps) -> Iterator[Mistake]:
        """Neighbours exchanged, the whole turned round, a step from before or after the run."""
        steps, right = drawn.in_order, drawn.right

        def before(place: int) -> str:
            return f"{_named(steps[place])} comes before {_named(steps[place + 1])}."

        backwards = f"That is the order backwards: {_named(steps[0])} comes first."
        yield from order_slips(right, (), before, backwards)
        if drawn.missing:
            yield from _outside_slips(drawn)

    def text(self, drawn: Steps) -> str:
        """What to do with the steps; the steps themselves are the choices."""
        many = len(drawn.in_order)
        text = (
            f"You work through \u201c{drawn.title}\u201d. Put these {many} steps in the order of "
            "the module, first to last."
        )
        if not drawn.missing:
            return text
        return f"{text} One step between the first and the last of them is left out: which one?"

    def givens(self, drawn: Steps) -> tuple[Given, ...]:
        """The module; the steps are the choices."""
        return (Given("Module", drawn.title), Given("Steps", str(len(drawn.in_order))))

    def lines(self, drawn: Steps, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Step after step with its letter, then the letters in a row."""
        del own
        steps, right = drawn.in_order, drawn.right
        lines = [
            Line(f"Place {place}", step, letter.upper())
            for place, (step, letter) in enumerate(zip(steps, right.keys, strict=True), 1)
        ]
        lines.append(order_line(right))
        if drawn.missing:
            lines.append(
                Line("Left out", "lies between the first and the last", drawn.missing, "missing")
            )
        return tuple(lines)

    def follow(self, drawn: Steps, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Nothing: each step has its place, whatever was thought of another."""
        del drawn, field, own
        return ()


def _single(steps: Iterable[str]) -> tuple[str, ...]:
    """The steps on one line each, without those that stand there twice and have no one place."""
    found = [" ".join(step.split()) for step in steps]
    letters = ["".join(filter(str.isalnum, step.casefold())) for step in found]
    return tuple(
        step for step, same in zip(found, letters, strict=True) if same and letters.count(same) == 1
    )


def _some(dice: Dice, steps: Sequence[str], most: int) -> tuple[str, ...]:
    """At most so many of the steps, in their order."""
    places = list(range(len(steps)))
    while len(places) > most:
        places.pop(dice.whole(0, len(places) - 1))
    return tuple(steps[place] for place in places)


def _outside_slips(drawn: Steps) -> Iterator[Mistake]:
    offered = drawn.offered.splitlines()
    first, last = drawn.in_order[0], drawn.in_order[-1]
    for others, where in (
        (drawn.before, f"comes before {_named(first)}."),
        (drawn.after, f"comes after {_named(last)}."),
    ):
        for step in others.splitlines():
            letter = LETTERS[len(drawn.in_order) + offered.index(step)]
            yield Mistake("outside-the-run", "missing", letter, f"{_named(step)} {where}")


def _named(step: str) -> str:
    """A step in quotation marks, long ones by their beginning."""
    words = step.rstrip(".").split()
    end = "…" if len(words) > LONGEST_NAME else ""
    return f"\u201c{' '.join(words[:LONGEST_NAME])}{end}\u201d"


def _text(steps: Iterable[str]) -> str:
    return "\n".join(steps)
