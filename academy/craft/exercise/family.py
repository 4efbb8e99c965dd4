"""What an exercise family is: the protocol it fulfils and what it throws its numbers with."""

from __future__ import annotations

import random
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar, cast, runtime_checkable

from academy.craft.measure import Kind, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Scalar
    from academy.craft.measure import Tolerance, Value
    from academy.craft.rules import Decided, Rules

P = TypeVar("P")
T = TypeVar("T")


class Dice:
    """The only chance in an exercise: the same text gives the same throws on every machine.

    Only ``random()`` is used: Python promises its sequence for a seed, not that of ``choice``.
    """

    def __init__(self, seed_text: str) -> None:
        self._random = random.Random(seed_text).random  # noqa: S311 - exercises, not secrets

    def pick(self, options: Sequence[T]) -> T:
        """One of the options, each as likely."""
        return options[int(self._random() * len(options))]

    def whole(self, low: int, high: int, step: int = 1) -> int:
        """A whole number from low to high, both included."""
        return low + step * int(self._random() * ((high - low) // step + 1))

    def chance(self, one_in: int) -> bool:
        """True once in so many throws."""
        return self._random() * one_in < 1


@dataclass(frozen=True, slots=True)
class Tolerances:
    """The marking tolerances of a rule set, looked up once for a question."""

    grams: Tolerance
    strength: Tolerance
    share: Tolerance
    length: Tolerance
    area: Tolerance
    spacing: Tolerance
    eye_share: Tolerance
    eye_depth: Tolerance
    eye_spot: Tolerance

    @classmethod
    def of(cls, rules: Rules) -> Tolerances:
        """Taken from the rules ``tolerance.…``."""
        return cls(*(rules.tolerance(name) for name in cls.__slots__))


@dataclass(frozen=True, slots=True)
class Follow:
    """What the right method gives on own figures, with the sum: "80 − 50"."""

    value: Value
    sum: str


@dataclass(frozen=True, slots=True)
class Material:
    """What an exercise is made from besides numbers: a module's title and its steps, in order."""

    title: str
    steps: tuple[str, ...]

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {"title": self.title, "steps": list(self.steps)}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Material:
        """The reverse of ``to_data``."""
        return cls(data["title"], tuple(data["steps"]))


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing that belongs to a question: an SVG element, and what it shows in words.

    The words describe it to those who do not see it without giving the answer away.
    """

    svg: str
    words: str


@dataclass(frozen=True, slots=True)
class Drawn(Generic[P]):
    """Parameters that meet a family's constraints, with the rules that were used for them."""

    parameters: P
    decided: tuple[Decided, ...] = ()


class Family(Protocol[P]):
    """One kind of calculation. ``P`` is a frozen dataclass of scalars: the drawn numbers together
    with the resolved rule values, so that every other method needs nothing else.

    ``version`` rises when the same parameters would print or mark differently; the old version
    stays registered, since old rows name it.
    """

    key: str
    version: int
    title: str
    trains: str
    parameters: type[P]

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[P] | None:
        """Throw once; None where the numbers break a constraint."""

    def under(self, drawn: P, rules: Rules) -> Drawn[P] | None:
        """The same numbers under other rules, for marking again; None where nothing is left to ask.

        What was printed as given (a label, a house figure in the text) is settled anew as well.
        """

    def identity(self, drawn: P) -> str:
        """The numbers that make this question itself, for "seen before"."""

    def key_of(self, drawn: P) -> dict[str, Value]:
        """The right value of every figure, asked or not."""

    def fields(self, drawn: P, tolerances: Tolerances) -> tuple[Field, ...]:
        """What is asked, in the order of the sum."""

    def mistakes(self, drawn: P) -> Iterable[Mistake]:
        """The slips whose conditions hold; one that equals the key is left out by the engine."""

    def text(self, drawn: P) -> str:
        """Second person, one situation, one task, at most 60 words."""

    def givens(self, drawn: P) -> tuple[Given, ...]:
        """The figures of the text as a table."""

    def lines(self, drawn: P, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """The worked solution; ``own`` figures stand in for the right ones they replace."""

    def follow(self, drawn: P, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """What the right method gives in this field on the own figures of other fields."""


@runtime_checkable
class Pictured(Protocol):
    """A family whose questions have a drawing. It comes from the parameters alone."""

    def picture(self, drawn: Any) -> Picture:
        """The drawing of one question."""


@runtime_checkable
class Solved(Protocol):
    """A family whose worked solution is a drawing as well: the answer in its place."""

    def solved(self, drawn: Any) -> Picture:
        """The drawing of one question with its answer."""


@runtime_checkable
class MadeFrom(Protocol):
    """A family that draws from a module's own text; it draws nothing until it has some."""

    def made_from(self, material: Material) -> Family[Any]:
        """The same family, drawing from this material."""


def scalars_of(parameters: object) -> dict[str, Scalar]:
    """The parameters of a family by name, as a question keeps them."""
    return {
        field.name: getattr(parameters, field.name) for field in fields(cast("Any", parameters))
    }


def part_of(kind: type[T], parameters: T) -> T:
    """The parameters that belong to a base of their class: what was thrown, without the rules."""
    names = (field.name for field in fields(cast("Any", kind)))
    return kind(**{name: getattr(parameters, name) for name in names})


def figure(own: Value | None, right: Decimal) -> Decimal:
    """The own figure where there is one, else the right one."""
    return own if isinstance(own, Decimal) else right


def grams(weight: Decimal) -> str:
    """A weight as a line of a solution prints it."""
    return shown_as(Kind.GRAMS, weight)
