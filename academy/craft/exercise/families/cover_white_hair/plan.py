"""A head with white hair, thrown, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.family import Dice, scalars_of
from academy.craft.exercise.question import Level
from academy.craft.exercise.shades import TONES
from academy.craft.formula.white_hair import (
    AREA_SHARES,
    Resistance,
    base_share,
    cream_needed,
    needs_presoftening,
    start_area,
    to_nearest_five,
    white_of_head,
)
from academy.craft.measure import shown

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Label, Rules

AREAS_CM2 = (Decimal(500), Decimal(540))
LEAST_WHITE = 10
ITEMS = {
    "ratio": "the ratio",
    "ceiling": "the ceiling",
    "share": "the share of base shade",
    "strength": "the developer strength",
}


@dataclass(frozen=True, slots=True)
class Head:
    """What is seen and wished for: shares in per cent, times in minutes after midnight."""

    natural_depth: int
    target_depth: int
    tone: str
    resistance: str
    front: Decimal
    sides: Decimal
    crown: Decimal
    back: Decimal
    nape: Decimal
    regrowth: Decimal
    area: Decimal
    start_at: int
    end_at: int

    @property
    def areas(self) -> dict[str, Decimal]:
        """White per cent by area."""
        return {area: getattr(self, area) for area in AREA_SHARES}

    @property
    def white(self) -> Decimal:
        """White per cent of the head, to the nearest 5."""
        return to_nearest_five(white_of_head(self.areas))


@dataclass(frozen=True, slots=True)
class WhiteHair(Head):
    """A head with the rule values that were resolved for it; ``…_rule`` say who decided.

    ``label_strengths`` and ``label_shares`` are what the label says, ready to print. ``item`` is
    what the field "what decided" asks about, ``item_by`` its answer.
    """

    level: str
    start: str
    start_lead: Decimal
    spread: Decimal
    step: Decimal
    method: str
    share: Decimal
    other_share: Decimal
    share_rule: str
    d: Decimal
    house_d: Decimal
    ratio_rule: str
    strength: Decimal
    strength_rule: str
    minutes: Decimal
    minutes_rule: str
    ceiling: Decimal
    ceiling_rule: str
    presoften: str
    presoften_from: Decimal
    label: str = ""
    label_ratio: Decimal | None = None
    label_minutes: Decimal | None = None
    label_resistant: Decimal | None = None
    label_ceiling: Decimal | None = None
    label_strengths: str = ""
    label_shares: str = ""
    from_start: bool = False
    item: str = ""
    item_by: str = ""
    changed: str = ""

    @property
    def cream(self) -> Decimal:
        """Grams of colour cream in all."""
        return self.cream_at(self.d)

    def cream_at(self, d: Decimal) -> Decimal:
        """Grams of colour cream, were it mixed 1:d."""
        return cream_needed(self.spread, self.area, self.regrowth, d, self.step)

    @property
    def natural(self) -> Decimal:
        """Grams of the natural shade."""
        return self.cream * self.share / 100

    @property
    def counts_from(self) -> int:
        """When the clock starts: the end of application, unless the label says the start."""
        return self.start_at if self.from_start else self.end_at


@dataclass(frozen=True, slots=True)
class Settled:
    """The rule values that hold for one head."""

    head: Head
    share: Decided
    other_share: Decimal
    ratio: Decided
    strength: Decided
    minutes: Decided
    ceiling: Decided
    presoften: bool
    spread: Decided
    step: Decided
    lead: Decided
    presoften_from: Decided

    @classmethod
    def of(cls, rules: Rules, head: Head) -> Settled:
        resistance, white = Resistance(head.resistance), head.white
        process = resistance.process
        return cls(
            head=head,
            share=base_share(white, resistance, rules),
            other_share=base_share(white, resistance.other, rules).number,
            ratio=rules.decide("mixing_ratio", kind="permanent"),
            strength=rules.decide("developer_strength", task="full_coverage"),
            minutes=rules.decide("development", process=process, what="minutes"),
            ceiling=rules.decide("development", process=process, what="ceiling"),
            presoften=needs_presoftening(white, resistance, rules),
            spread=rules.decide("spread"),
            step=rules.decide("quantity", service="cream_step"),
            lead=rules.decide("start_lead"),
            presoften_from=rules.decide("presoften_white_from"),
        )

    @property
    def in_whole_minutes(self) -> bool:
        """Minutes and ceiling can be answered as clock times."""
        return all(rule.number == int(rule.number) for rule in (self.minutes, self.ceiling))

    def decided(self, level: Level) -> tuple[Decided, ...]:
        """Every rule that a question of the level rests on; level first asks for the bowl only."""
        bowl = (self.share, self.ratio, self.spread, self.step)
        if level is Level.FIRST:
            return bowl
        plan = (self.strength, self.presoften_from, self.lead, self.minutes, self.ceiling)
        return *bowl, *plan

    def values(self, rules: Rules, item: str) -> dict[str, Any]:
        """What the parameters keep of it."""
        kept: dict[str, Any] = {
            **scalars_of(self.head),
            "start": start_area(self.head.areas, self.lead.number),
            "start_lead": self.lead.number,
            "spread": self.spread.number,
            "step": self.step.number,
            "method": rules.decide("white_rule").word,
            "share": self.share.number,
            "other_share": self.other_share,
            "share_rule": self.share.sentence,
            "d": self.ratio.number,
            "house_d": rules.with_label(None).number("mixing_ratio", kind="permanent"),
            "ratio_rule": self.ratio.sentence,
            "strength": self.strength.number,
            "strength_rule": self.strength.sentence,
            "minutes": self.minutes.number,
            "minutes_rule": self.minutes.sentence,
            "ceiling": self.ceiling.number,
            "ceiling_rule": self.ceiling.sentence,
            "presoften": "yes" if self.presoften else "no",
            "presoften_from": self.presoften_from.number,
        }
        return kept if rules.label is None else kept | self._of_label(rules.label, rules, item)

    def _of_label(self, label: Label, rules: Rules, item: str) -> dict[str, Any]:
        changed = [
            words for name, words in ITEMS.items() if getattr(self, name).rule_key in rules.house
        ]
        return {
            "label": label.name,
            "label_ratio": label.ratios[0] if label.ratios else None,
            "label_minutes": label.minutes,
            "label_resistant": label.minutes_resistant,
            "label_ceiling": label.ceiling,
            "label_strengths": " or ".join(f"{shown(each)} %" for each in label.strengths),
            "label_shares": shares_said(label, Resistance(self.head.resistance)),
            "from_start": label.counts_from_start,
            "item": item,
            "item_by": str(getattr(self, item).decided_by),
            "changed": ", ".join(changed),
        }


def shares_said(label: Label | None, resistance: Resistance) -> str:
    """The label's own shares for this hair: "50 % from 40 % white, 75 % from 70 % white"."""
    column = f"{resistance.value}."
    said = {
        Decimal(cell.removeprefix(column)): share
        for cell, share in (label.white_bands.items() if label is not None else ())
        if cell.startswith(column)
    }
    return ", ".join(f"{shown(said[band])} % from {shown(band)} % white" for band in sorted(said))


def throw_head(dice: Dice, level: Level, lead: Decimal) -> Head:
    """A head with its service; level first keeps to friendly figures."""
    first = level is Level.FIRST
    natural = dice.whole(3, 7)
    end_at = dice.whole(9 * 60, 18 * 60, 5)
    return Head(
        natural_depth=natural,
        target_depth=dice.whole(max(4, natural - 2), min(7, natural + 2)),
        tone=dice.pick(TONES),
        resistance=dice.pick(tuple(Resistance)).value,
        **_white_by_area(dice, lead),
        regrowth=Decimal(dice.whole(2, 6, 2 if first else 1)) / 2,
        area=AREAS_CM2[0] if first else dice.pick(AREAS_CM2),
        start_at=end_at - dice.whole(20, 40, 5),
        end_at=end_at,
    )


def _white_by_area(dice: Dice, lead: Decimal) -> dict[str, Decimal]:
    """White per cent by area, steps of 5; about every second head has a leading area."""
    middle = dice.whole(5, 95, 5)
    areas = {
        area: Decimal(min(100, max(0, middle + dice.whole(-10, 10, 5)))) for area in AREA_SHARES
    }
    if dice.chance(2):
        leader = dice.pick(tuple(areas))
        next_best = max(white for area, white in areas.items() if area != leader)
        areas[leader] = next_best + lead + dice.whole(0, 10, 5)
    return areas
