"""A head with a wish, thrown, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from academy.craft.exercise.decided import NOT_SAID, label_of_kind
from academy.craft.exercise.family import Dice, Drawn, scalars_of
from academy.craft.exercise.question import Level
from academy.craft.formula.lift import (
    PRODUCT_OF,
    Hair,
    Ladder,
    Place,
    ProductKind,
    lift_needed,
    lightener_limit,
    powder_factor,
    powder_needed,
    strength_for,
)
from academy.craft.formula.mixture import developer_for, on_the_head
from academy.craft.formula.undertone import undertone_at
from academy.craft.measure import shown
from academy.craft.rules import Decided, Label, Rules

FOILS, REGROWTH, FULL = "foils", "regrowth", "full"
LENGTHS = ("short", "medium", "long")
TUB = "the tub in your hand"
NO_LIFT_ONE_IN = 5
BINDING = Decimal(3)
TOPS: dict[Place, tuple[Decimal | None, ...]] = {
    Place.FOILS: (BINDING, BINDING, Decimal(9), None),
    Place.SCALP: (BINDING, BINDING, Decimal(6), None),
}
"""The top strengths of invented labels; every second one binds."""


@dataclass(frozen=True, slots=True)
class Head:
    """What is there and wished for: depths 1 to 10; ``where`` is foils, regrowth or full."""

    tinted: bool
    present: int
    target: int
    where: str
    foils: int
    length: str

    @property
    def place(self) -> Place:
        """In foils or on the scalp."""
        return Place.FOILS if self.where == FOILS else Place.SCALP

    @property
    def hair(self) -> Hair:
        """What the choice of product looks at."""
        return Hair(self.present, self.tinted, self.place)

    @property
    def lift(self) -> Decimal:
        """Depths to gain."""
        return lift_needed(self.present, self.target)


@dataclass(frozen=True, slots=True)
class LiftPlan(Head):
    """A head with what the rules make of it; ``…_rule`` say who decided.

    Weights in grams, strengths in per cent, ``d`` of 1:d. From ``limit`` on only for lightener;
    ``label…`` only at level exam, ``factors`` and ``accepted`` ready to print.
    """

    level: str
    most_6: Decimal
    most_9: Decimal
    most_12: Decimal
    task: str
    strength: Decimal
    strength_rule: str
    strength_by: str
    limit: Decimal | None = None
    factor: Decimal = Decimal(0)
    factors: str = ""
    d: Decimal = Decimal(1)
    d_rule: str = ""
    stage: str = ""
    stage_rule: str = ""
    accepted: str = ""
    tone: str = ""
    tone_rule: str = ""
    label: str = ""
    label_top: Decimal | None = None
    label_says: str = ""
    label_ratio: str = ""
    changed: str = ""

    @property
    def ladder(self) -> Ladder:
        """The ladder of colour under the rules of this question."""
        return Ladder(self.most_6, self.most_9, self.most_12)

    @property
    def product(self) -> ProductKind:
        """The right kind of product."""
        return PRODUCT_OF[self.task]

    @property
    def weighs(self) -> bool:
        """Whether powder, developer and all that follows from them is asked."""
        return self.level != Level.FIRST and self.product is ProductKind.LIGHTENER

    @property
    def powder(self) -> Decimal:
        """Grams of powder, whole."""
        return powder_needed(self.place, self.factor, self.foils)

    @property
    def developer(self) -> Decimal:
        """Grams of developer."""
        return developer_for(self.powder, self.d)

    @property
    def strength_on_head(self) -> Decimal:
        """Peroxide per cent in the mixture."""
        return on_the_head(self.strength, self.d)


def throw_head(dice: Dice, level: Level, place: Place | None) -> Head:
    """A head with its wish; at level exam always lighter, and where the label belongs."""
    tinted = dice.chance(3)
    if place is not None:
        where = FOILS if place is Place.FOILS else FULL
    else:
        where = dice.pick((FOILS, FULL) if tinted else (FOILS, FULL, REGROWTH))
    present = dice.whole(3, 8)
    darker = level is not Level.EXAM and dice.chance(NO_LIFT_ONE_IN)
    return Head(
        tinted=tinted,
        present=present,
        target=dice.whole(present - 1, present) if darker else dice.whole(present + 1, 10),
        where=where,
        foils=dice.whole(6, 40) if where == FOILS else 0,
        length=dice.pick(LENGTHS),
    )


def settled(head: Head, level: Level, rules: Rules) -> Drawn[LiftPlan] | None:
    """The head under these rules; None where there is no lightener and the level asks for it."""
    ladder = Ladder.of(rules)
    task = ladder.task_for(head.lift, head.hair)
    lightener = PRODUCT_OF[task] is ProductKind.LIGHTENER
    if level is Level.EXAM and not lightener:
        return None
    if level is Level.WORKING and lightener and head.where == REGROWTH:
        return None
    strength = strength_for(task, rules)
    values: dict[str, Any] = {
        **scalars_of(head),
        "level": str(level),
        "most_6": ladder.most_6,
        "most_9": ladder.most_9,
        "most_12": ladder.most_12,
        "task": task,
        "strength": strength.number,
        "strength_rule": strength.sentence,
        "strength_by": str(strength.decided_by),
    }
    rung = _rung(task, head, rules)
    if level is Level.FIRST:
        return Drawn(LiftPlan(**values), rung)
    if not lightener:
        return Drawn(LiftPlan(**values), (*rung, strength))
    more, decided = _of_lightener(head, rules)
    of_label = _of_label(rules.label, head.place, rules) if level is Level.EXAM else {}
    each_once = tuple(dict.fromkeys((*rung, strength, *decided)))
    return Drawn(LiftPlan(**values, **more, **of_label), each_once)


def _rung(task: str, head: Head, rules: Rules) -> tuple[Decided, ...]:
    """The rule of lift that settled the product, where colour could climb at all."""
    if head.tinted or head.place is Place.FOILS or task == "deposit":
        return ()
    strength = {"lift_1_2": "6", "lift_3": "9"}.get(task, "12")
    return (rules.decide("lift", strength=strength, end="most"),)


def _of_lightener(head: Head, rules: Rules) -> tuple[dict[str, Any], tuple[Decided, ...]]:
    place = head.place
    limit = lightener_limit(place, rules)
    factors = {length: powder_factor(place, length, rules) for length in LENGTHS}
    ratio = rules.decide("mixing_ratio", kind=place.lightener)
    undertone = undertone_at(head.target, rules)
    stage, tone = undertone.stage, undertone.counter_tone
    values = {
        "limit": limit.number,
        "factor": factors[head.length].number,
        "factors": ", ".join(f"{name} {shown(each.number)}" for name, each in factors.items()),
        "d": ratio.number,
        "d_rule": ratio.sentence,
        "stage": stage.word,
        "stage_rule": stage.sentence,
        "accepted": ", ".join(undertone.accepted_stages),
        "tone": tone.word,
        "tone_rule": tone.sentence,
    }
    return values, (limit, factors[head.length], ratio, stage, tone)


def _of_label(label: Label | None, place: Place, rules: Rules) -> dict[str, Any]:
    """What is printed of the label, and of the rules that the house has changed."""
    if label is None:
        raise ValueError("Level exam is drawn under a label.")
    says = [" or ".join(f"{shown(strength)} %" for strength in label.strengths)]
    if label.top_strength is not None:
        says.append(f"at most {shown(label.top_strength)} %")
    changed = {
        "developer_strength.lightener_foils": "strength in foils",
        "developer_strength.lightener_foils_top": "top strength in foils",
        "developer_strength.lightener_scalp": "strength on the scalp",
    }
    return {
        "label": label.name,
        "label_top": label.top_strength,
        "label_says": ", ".join(filter(None, says)) or NOT_SAID,
        "label_ratio": " or ".join(f"1:{shown(d)}" for d in label.ratios) or NOT_SAID,
        "changed": ", ".join(
            words for key, words in changed.items() if key in rules.house and place.value in key
        ),
    }


def exam_label(dice: Dice, rules: Rules) -> tuple[Label, Place]:
    """The label the paper was set with, if it is one of lightener; else an invented one."""
    for place in Place:
        label = label_of_kind(rules, place.lightener)
        if label is not None:
            return label, place
    place = dice.pick(tuple(Place))
    return invented_label(place, dice.pick(TOPS[place])), place


def invented_label(place: Place, top: Decimal | None) -> Label:
    """A label that speaks of nothing but the top strength, or not even of that."""
    return Label(TUB, place.lightener, top_strength=top, on_scalp=place is Place.SCALP)
