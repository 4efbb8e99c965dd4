"""Who decided a figure: the label of a question, the line that asks, the line that tells."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.question import Field, Line
from academy.craft.measure import Choice, Kind
from academy.craft.rules import training_labels

if TYPE_CHECKING:
    from academy.craft.exercise.family import Dice
    from academy.craft.rules import Label, Rules

DECIDED_CHOICES = (
    Choice("label", "Product label", ("label", "the label")),
    Choice("house", "House rule", ("house", "our house rule", "academy rule")),
    Choice("default", "Standard rule", ("standard", "default", "the standard rule")),
)
"""Answers of the field "what decided"; the keys are those of ``rules.DecidedBy``."""

FIELD = "decided_by"
TUBE = "the tube in your hand"
SILENT_ONE_IN = 4
"""An invented label says nothing once in so many draws, so that it is not always what decided."""

NOT_SAID = "not said"
CREAMS = ("training-cream-a", "training-cream-b")


def decided_field(asked: str, needs: tuple[str, ...] = ()) -> Field:
    """The field that asks what decided something: "the ratio"."""
    label = f"What decided {asked}?"
    return Field(FIELD, label, Kind.CHOICE, choices=DECIDED_CHOICES, needs=needs)


def decided_line(words: str, why: str, by: str, field: str = FIELD) -> Line:
    """The line of a solution that tells who decided; ``by`` is a key of the choices."""
    who = next(choice.label for choice in DECIDED_CHOICES if choice.key == by)
    return Line(words, why, who, field)


def label_of_kind(rules: Rules, *kinds: str) -> Label | None:
    """The label the paper was set with, where it is one of these kinds."""
    label = rules.label
    return label if label is not None and label.kind in kinds else None


def label_or_cream(dice: Dice, rules: Rules, *kinds: str) -> Label:
    """The label the paper was set with, where it is one of these kinds; else a training cream."""
    return label_of_kind(rules, *kinds) or training_labels()[dice.pick(CREAMS)]


def label_named(name: str, rules: Rules) -> Label:
    """The label a question was drawn under: that of the paper, or a training product's."""
    if rules.label is not None and rules.label.name == name:
        return rules.label
    return next(label for label in training_labels().values() if label.name == name)
