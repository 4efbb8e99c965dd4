"""The whole decision for white coverage, from the share of base shade to the latest rinse.

Decisions where the trade page leaves room:

- The head's white is the mean of the five areas weighted by their size, to the nearest 5. About
  half of the draws have a leading area; what counts as leading is the rule ``start_lead``.
- A share of 0 or 100 asks no split and is drawn again, whichever rule chose it.
- Level first keeps to 500 cm² and whole centimetres and prints the ratio; spread and the step of
  4 g are printed at every level, nobody knows them by heart.
- The slips about the share are looked for in the share itself as well as in the natural grams;
  ``house-ratio`` also in the ratio and the developer.
- Under the rules "half" and "proportional" there is no other column, so ``wrong-column`` falls
  away. Under "proportional" the share is the white figure, so ``white-as-share`` does too.
- Level exam draws Training cream A or B, or the label its paper was set with, if that is a
  permanent colour. "What decided" asks about one drawn item (ratio, ceiling, share or strength),
  so that it is not always the label; which of these the house has changed is printed.
- Time counts from the end of application unless the label says otherwise; under a label that
  counts from the start ``from-start`` is no slip.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.family import (
    DECIDED_CHOICES,
    Dice,
    Drawn,
    Follow,
    Tolerances,
    figure,
    grams,
    scalars_of,
)
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.mixture import bowl_of, developer_for
from academy.craft.formula.white_hair import (
    AREA_SHARES,
    EAR_TO_EAR,
    Resistance,
    base_share,
    cream_needed,
    needs_presoftening,
    start_area,
    to_nearest_five,
    white_of_head,
)
from academy.craft.measure import YES_OR_NO, Choice, Kind, Ratio, Value, clock, shown, shown_as
from academy.craft.rules import Decided, DecidedBy, Label, Rules, training_labels

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

TONES = ("gold", "copper", "ash", "pearl", "beige", "mahogany")
AREAS_CM2 = (Decimal(500), Decimal(540))
LIFTING = (Decimal(9), Decimal(12))
DEPOSIT = Decimal(3)
LEAST_WHITE = 10
EXAM_LABELS = ("training-cream-a", "training-cream-b")
ITEMS = {
    "ratio": "the ratio",
    "ceiling": "the ceiling",
    "share": "the share of base shade",
    "strength": "the developer strength",
}
AREA_NAMES = {
    "front": "Front",
    "sides": "Sides",
    "crown": "Crown",
    "back": "Back",
    "nape": "Nape",
}
STARTS = (
    Choice("front", "Front hairline", ("fringe", "front", "hairline")),
    Choice("sides", "Sides", ("side",)),
    Choice("crown", "Crown"),
    Choice("back", "Back", ("occipital",)),
    Choice("nape", "Nape"),
    Choice(EAR_TO_EAR, "No area leads: ear to ear, then down the back", ("ear to ear", "none")),
)


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

    ``item`` is what the field "what decided" asks about, ``item_by`` its answer.
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


class CoverWhiteHair:
    """Exercise family ``cover-white-hair``."""

    key = "cover-white-hair"
    version = 1
    title = "Covering white hair"
    trains = "The full decision for white coverage"
    parameters = WhiteHair

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[WhiteHair] | None:
        """A head with its white by area, under a label at level exam."""
        head = _head(dice, level, rules.with_label(None).number("start_lead"))
        if head.white < LEAST_WHITE or max(head.areas.values()) > 100:
            return None
        if level is not Level.EXAM:
            return self.plan(head, level, rules.with_label(None))
        label = _label(dice, rules)
        return self.plan(head, level, rules.with_label(label), dice.pick(tuple(ITEMS)))

    def plan(
        self, head: Head, level: Level, rules: Rules, item: str = ""
    ) -> Drawn[WhiteHair] | None:
        """Resolve the rules for a head; None where the colour is not split."""
        settled = _Settled.of(rules, head)
        if not 0 < settled.share.number < 100:
            return None
        drawn = WhiteHair(level=str(level), **settled.values(rules, item))
        return Drawn(drawn, settled.decided)

    def identity(self, drawn: WhiteHair) -> str:
        """Everything that enters a sum; not the tone."""
        if drawn.level == Level.FIRST:
            return f"first/{drawn.white}/{drawn.resistance}/{drawn.regrowth}/{drawn.d}"
        by_area = "-".join(str(white) for white in drawn.areas.values())
        depths = f"{drawn.natural_depth}-{drawn.target_depth}"
        size = f"{drawn.regrowth}-{drawn.area}"
        times = f"{clock(drawn.start_at)}-{clock(drawn.end_at)}"
        asked = "/".join([by_area, drawn.resistance, depths, size, times])
        return f"{asked}/{drawn.label}/{drawn.item}" if drawn.item else asked

    def key_of(self, drawn: WhiteHair) -> dict[str, Value]:
        """The whole plan."""
        key: dict[str, Value] = {
            "share": drawn.share,
            "cream": drawn.cream,
            "natural": drawn.natural,
            "natural_depth": Decimal(drawn.target_depth),
            "target": drawn.cream - drawn.natural,
            "strength": drawn.strength,
            "ratio": Ratio.of(1, drawn.d),
            "developer": developer_for(drawn.cream, drawn.d),
            "presoften": drawn.presoften,
            "start": drawn.start,
            "minutes": drawn.minutes,
            "first_check": drawn.counts_from + drawn.minutes,
            "latest_rinse": drawn.counts_from + drawn.ceiling,
        }
        if drawn.item:
            key["decided_by"] = drawn.item_by
        return key

    def fields(self, drawn: WhiteHair, tolerances: Tolerances) -> tuple[Field, ...]:
        """Share and weights at level first; the whole plan after it; natural weighs double."""
        near = tolerances.grams
        share = Field("share", "Share of base shade", Kind.SHARE, tolerance=tolerances.share)
        cream = Field("cream", "Colour cream in all", Kind.GRAMS, tolerance=near)
        natural = Field("natural", "Natural shade", Kind.GRAMS, 2, near)
        label = f"Target shade, depth {drawn.target_depth} {drawn.tone}"
        target = Field("target", label, Kind.GRAMS, tolerance=near)
        developer = Field("developer", "Developer", Kind.GRAMS, tolerance=near)
        if drawn.level == Level.FIRST:
            return share, cream, natural, target, developer
        return (
            share,
            cream,
            natural,
            Field("natural_depth", "Depth of the natural shade", Kind.DEPTH),
            target,
            Field("strength", "Developer strength", Kind.STRENGTH, tolerance=tolerances.strength),
            Field("ratio", "Colour to developer", Kind.RATIO),
            developer,
            Field("presoften", "Pre-soften?", Kind.YES_NO, choices=YES_OR_NO),
            Field("start", "Where you start", Kind.CHOICE, choices=STARTS),
            Field("minutes", "Development time", Kind.MINUTES),
            Field("first_check", "First check", Kind.CLOCK),
            Field("latest_rinse", "Latest rinse", Kind.CLOCK, safety=Safety.LATER),
            *_decided_field(drawn),
        )

    def mistakes(self, drawn: WhiteHair) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        for name, share, sentence in _share_slips(drawn):
            yield Mistake(name, "share", share, sentence)
            yield Mistake(name, "natural", drawn.cream * share / 100, sentence)
        of_bowl = bowl_of(drawn.cream, drawn.d) * drawn.share / 100
        if of_bowl != drawn.cream / 2:
            yield Mistake("share-of-bowl", "natural", of_bowl, "The share is of the cream.")
        if drawn.level == Level.FIRST:
            return
        yield from _strength_slips(drawn)
        yield Mistake(
            "natural-depth",
            "natural_depth",
            Decimal(drawn.natural_depth),
            "The natural shade sits at the target depth.",
        )
        if not drawn.from_start:
            yield Mistake(
                "from-start",
                "first_check",
                drawn.start_at + drawn.minutes,
                "Time counts from the end of application.",
            )
        yield Mistake(
            "rinse-at-check",
            "latest_rinse",
            drawn.counts_from + drawn.minutes,
            "The check decides; the ceiling is later.",
        )
        if drawn.label_ratio is not None and drawn.house_d != drawn.d:
            yield from _house_ratio_slips(drawn)

    def text(self, drawn: WhiteHair) -> str:
        """One head, one service."""
        resistance = (
            "hair coarse and resistant"
            if drawn.resistance == Resistance.RESISTANT
            else "hair normal"
        )
        head = (
            f"Natural depth {drawn.natural_depth}, {shown(drawn.white)} % white, {resistance}. "
            f"Wanted: depth {drawn.target_depth} {drawn.tone}, full coverage. "
            f"Regrowth {shown(drawn.regrowth)} cm on {shown(drawn.area)} cm². "
        )
        if drawn.level == Level.FIRST:
            return head + f"You mix 1:{shown(drawn.d)}. What goes into your bowl?"
        times = f"You apply from {clock(drawn.start_at)} to {clock(drawn.end_at)}"
        if drawn.level == Level.WORKING:
            return head + f"{times}. White by area is below. Plan the service."
        return head + (
            f"{times} and use {drawn.label}. White by area and label are below. "
            f"Plan the service; say what decided {ITEMS[drawn.item]}."
        )

    def givens(self, drawn: WhiteHair) -> tuple[Given, ...]:
        """The head, the house's figures, white by area, and the label at level exam."""
        rows = [
            Given("Natural depth", str(drawn.natural_depth)),
            Given("White hair", shown(drawn.white), "%"),
            Given("Hair", drawn.resistance),
            Given("Wanted", f"depth {drawn.target_depth} {drawn.tone}"),
            Given("Regrowth", shown(drawn.regrowth), "cm"),
            Given("Scalp", shown(drawn.area), "cm²"),
            Given(
                "Mixed product for each cm² of scalp and cm of regrowth", shown(drawn.spread), "g"
            ),
            Given("Cream is rounded up to a multiple of", shown(drawn.step), "g"),
        ]
        if drawn.method != "bands":
            rows.append(Given("House rule for the base shade", METHODS[drawn.method]))
        if drawn.level == Level.FIRST:
            return *rows, Given("Colour to developer", f"1:{shown(drawn.d)}")
        rows += [
            Given(f"White, {AREA_NAMES[area].lower()}", shown(white), "%")
            for area, white in drawn.areas.items()
        ]
        rows += [
            Given("Application starts", clock(drawn.start_at)),
            Given("Application ends", clock(drawn.end_at)),
        ]
        return *rows, *_label_rows(drawn)

    def lines(self, drawn: WhiteHair, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Share, cream, shades, developer; then pre-softening, start, times and who decided."""
        bowl = _bowl_lines(drawn, own)
        if drawn.level == Level.FIRST:
            return bowl
        minutes = figure(own.get("minutes"), drawn.minutes)
        since, start = drawn.counts_from, next(c for c in STARTS if c.key == drawn.start)
        ranked = sorted(drawn.areas.values(), reverse=True)
        lines = (
            *bowl[:3],
            Line(
                "Depth of the natural shade",
                "that of the target shade",
                f"depth {drawn.target_depth}",
                "natural_depth",
            ),
            bowl[3],
            Line(
                "Developer strength", drawn.strength_rule, f"{shown(drawn.strength)} %", "strength"
            ),
            Line("Colour to developer", drawn.ratio_rule, f"1:{shown(drawn.d)}", "ratio"),
            bowl[4],
            Line(
                "Pre-soften",
                f"{drawn.resistance} hair, {shown(drawn.white)} % white; "
                f"resistant hair from {shown(drawn.presoften_from)} %",
                drawn.presoften.capitalize(),
                "presoften",
            ),
            Line(
                "Start",
                f"the whitest leads by {shown(ranked[0] - ranked[1])} points, "
                f"{shown(drawn.start_lead)} make a lead",
                start.label,
                "start",
            ),
            Line("Development time", drawn.minutes_rule, f"{shown(drawn.minutes)} min", "minutes"),
            Line(
                "First check",
                f"{clock(since)} + {shown(minutes)} min",
                clock(since + minutes),
                "first_check",
            ),
            Line(
                f"Latest rinse, ceiling {drawn.ceiling_rule}",
                f"{clock(since)} + {shown(drawn.ceiling)} min",
                clock(since + drawn.ceiling),
                "latest_rinse",
            ),
        )
        return lines + _decided_line(drawn)

    def follow(self, drawn: WhiteHair, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Shades and developer on own cream and share, the first check on own minutes."""
        cream, minutes = own.get("cream"), own.get("minutes")
        if field == "first_check" and isinstance(minutes, Decimal):
            since = drawn.counts_from
            yield Follow(since + minutes, f"{clock(since)} + {shown(minutes)} min")
        if field == "developer" and isinstance(cream, Decimal):
            yield Follow(developer_for(cream, drawn.d), f"{grams(cream)} × {shown(drawn.d)}")
        if field == "natural" and ("cream" in own or "share" in own):
            yield _part_of(drawn, own, rest=False)
        if field == "target":
            natural = own.get("natural")
            if isinstance(cream, Decimal) and isinstance(natural, Decimal):
                yield Follow(cream - natural, f"{grams(cream)} − {grams(natural)}")
            if "cream" in own or "share" in own:
                yield _part_of(drawn, own, rest=True)


METHODS = {
    "half": "half from 25 % white on",
    "proportional": "as much as the white",
}


@dataclass(frozen=True, slots=True)
class _Settled:
    """The rule values that hold for one head."""

    head: Head
    share: Decided
    other_share: Decimal
    ratio: Decided
    strength: Decided
    minutes: Decided
    ceiling: Decided
    presoften: bool

    @classmethod
    def of(cls, rules: Rules, head: Head) -> _Settled:
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
        )

    @property
    def decided(self) -> tuple[Decided, ...]:
        return self.share, self.ratio, self.strength, self.minutes, self.ceiling

    def values(self, rules: Rules, item: str) -> dict[str, Any]:
        """What the parameters keep of it."""
        lead = rules.number("start_lead")
        kept: dict[str, Any] = {
            **scalars_of(self.head),
            "start": start_area(self.head.areas, lead),
            "start_lead": lead,
            "spread": rules.number("spread"),
            "step": rules.number("quantity", service="cream_step"),
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
            "presoften_from": rules.number("presoften_white_from"),
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
            "from_start": label.counts_from_start,
            "item": item,
            "item_by": str(getattr(self, item).decided_by),
            "changed": ", ".join(changed),
        }


def _head(dice: Dice, level: Level, lead: Decimal) -> Head:
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


def _label(dice: Dice, rules: Rules) -> Label:
    if rules.label is not None and rules.label.kind == "permanent":
        return rules.label
    return training_labels()[dice.pick(EXAM_LABELS)]


def _share_slips(drawn: WhiteHair) -> Iterator[tuple[str, Decimal, str]]:
    share, other = drawn.share, drawn.other_share
    if drawn.white not in {share, other}:
        yield (
            "white-as-share",
            drawn.white,
            "The share follows the band, not the white figure.",
        )
    if share != 50:
        yield "swapped", 100 - share, "White hair needs the natural shade."
    if other != share and other > 0:
        yield (
            "wrong-column",
            other,
            "Feel the hair: resistant hair has its own column.",
        )
    if 50 not in {share, other}:
        yield "half-always", Decimal(50), "Half and half is another rule than this house’s."


def _strength_slips(drawn: WhiteHair) -> Iterator[Mistake]:
    taught = f"Full coverage is taught with {shown(drawn.strength)} %."
    for stronger in LIFTING:
        if stronger > drawn.strength:
            yield Mistake(
                "lift-strength", "strength", stronger, "More strength lifts; it does not cover."
            )
    if drawn.strength > DEPOSIT:
        yield Mistake("deposit-strength", "strength", DEPOSIT, taught)


def _house_ratio_slips(drawn: WhiteHair) -> Iterator[Mistake]:
    cream, sentence = drawn.cream_at(drawn.house_d), "The label decides."
    yield Mistake("house-ratio", "cream", cream, sentence)
    yield Mistake("house-ratio", "ratio", Ratio.of(1, drawn.house_d), sentence)
    yield Mistake("house-ratio", "developer", developer_for(cream, drawn.house_d), sentence)


def _decided_field(drawn: WhiteHair) -> tuple[Field, ...]:
    if not drawn.item:
        return ()
    label = f"What decided {ITEMS[drawn.item]}?"
    return (Field("decided_by", label, Kind.CHOICE, choices=DECIDED_CHOICES),)


def _label_rows(drawn: WhiteHair) -> Iterator[Given]:
    if not drawn.label:
        return
    if drawn.label_ratio is not None:
        yield Given("Label, colour to developer", f"1:{shown(drawn.label_ratio)}")
    for words, minutes in (
        ("Label, minutes", drawn.label_minutes),
        ("Label, minutes on resistant white", drawn.label_resistant),
        ("Label, ceiling", drawn.label_ceiling),
    ):
        if minutes is not None:
            yield Given(words, shown(minutes), "min")
    counted_from = "start" if drawn.from_start else "end"
    yield Given("Label, time counts from the", f"{counted_from} of application")
    yield Given("Rules your house has changed", drawn.changed or "none of these")


def _bowl_lines(drawn: WhiteHair, own: Mapping[str, Value]) -> tuple[Line, ...]:
    share = figure(own.get("share"), drawn.share)
    cream = figure(own.get("cream"), drawn.cream)
    natural = figure(own.get("natural"), cream * share / 100)
    need = drawn.spread * drawn.area * drawn.regrowth / (1 + drawn.d)
    return (
        Line(
            f"Share of base shade, {shown(drawn.white)} % white, {drawn.resistance} hair",
            drawn.share_rule,
            shown_as(Kind.SHARE, drawn.share),
            "share",
        ),
        Line(
            f"Cream, up to a multiple of {shown(drawn.step)} g",
            f"{shown(drawn.spread)} × {shown(drawn.area)} × {shown(drawn.regrowth)} ÷ "
            f"{shown(1 + drawn.d)} = {shown(need, 1)} g",
            grams(drawn.cream),
            "cream",
        ),
        Line(
            "Natural shade",
            f"{grams(cream)} × {shown(share)} ÷ 100",
            grams(cream * share / 100),
            "natural",
        ),
        Line(
            "Target shade", f"{grams(cream)} − {grams(natural)}", grams(cream - natural), "target"
        ),
        Line(
            "Developer",
            f"{grams(cream)} × {shown(drawn.d)}",
            grams(developer_for(cream, drawn.d)),
            "developer",
        ),
    )


def _decided_line(drawn: WhiteHair) -> tuple[Line, ...]:
    if not drawn.item:
        return ()
    who = next(choice.label for choice in DECIDED_CHOICES if choice.key == drawn.item_by)
    order = (
        "the label says so"
        if drawn.item_by == DecidedBy.LABEL
        else "the label is silent, so the rule holds"
    )
    return (Line(f"What decided {ITEMS[drawn.item]}", order, who, "decided_by"),)


def _part_of(drawn: WhiteHair, own: Mapping[str, Value], *, rest: bool) -> Follow:
    cream = figure(own.get("cream"), drawn.cream)
    share = figure(own.get("share"), drawn.share)
    part = 100 - share if rest else share
    return Follow(cream * part / 100, f"{grams(cream)} × {shown(part)} ÷ 100")
