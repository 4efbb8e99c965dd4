"""From bowl to parts and back: cream, shades and developer at a mixing ratio.

Decisions where the trade page leaves room:

- Level first is forwards with an even cream given, so there is nothing to share: one shade. Levels
  working and exam have two shades, since all four fields are asked.
- With 1:2 the slips ``half`` and ``divided-by-d`` give the same cream; ``divided-by-d`` is kept,
  it is the one that happens. Forwards they differ, and both are kept.
- Level exam: the colour is permanent or quasi-permanent, and the label's ratio lies in the range
  of that kind and differs from the house ratio. Where the house ratio is 1:1, ``half`` is the
  house ratio's own figure, so only ``house-ratio`` is named. Once in four draws the label gives no
  ratio: then the house rule (or the standard rule) decides, and the field "what decided" is not
  the same answer every time.
- A paper set with a label of the academy's own is drawn under that label instead.
- A wrong "what decided" is named ``house-ratio`` where the label decided.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from academy.craft.exercise.family import (
    DECIDED_CHOICES,
    Dice,
    Drawn,
    Follow,
    Tolerances,
    figure,
    grams,
)
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.mixture import bowl_of, cream_in, developer_for, shared
from academy.craft.measure import Kind, Value, counted, shown
from academy.craft.rules import DecidedBy, Label, Rule, Rules

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

RATIOS = (Decimal(1), Decimal("1.5"), Decimal(2))
SHARES = ((1, 1), (2, 1), (3, 1), (3, 2))
TONES = ("gold", "copper", "ash", "pearl", "beige", "mahogany")
KINDS = {"permanent": "permanent colour", "quasi": "quasi-permanent colour"}
LEAST_BOWL, MOST_BOWL = 30, 180
LEAST_CREAM, MOST_CREAM = 10, 90
EVEN = 2
SILENT_ONE_IN = 4
RULE_RATIOS = ("House rule, ratio", "Standard rule, ratio")
NEEDS = {
    "cream": ("Bowl", "Colour to developer", "Label, ratio", *RULE_RATIOS),
    "shade_1": ("Depth",),
    "shade_2": ("Depth",),
    "developer": ("Colour to developer", "Colour cream", "Label, ratio", *RULE_RATIOS),
    "bowl": ("Colour cream", "Colour to developer"),
}
TUBE = "the tube in your hand"


@dataclass(frozen=True, slots=True)
class Bowl:
    """Weights in grams, ratios as the d of 1:d; ``label_d`` is None on a label without ratio."""

    level: str
    d: Decimal
    cream: Decimal
    a: int = 1
    b: int = 1
    depth: int = 0
    tone: str = ""
    kind: str = ""
    house_d: Decimal | None = None
    house_by: str = ""
    label_d: Decimal | None = None
    label_name: str = ""

    @property
    def overridden(self) -> bool:
        """The label gives another ratio than the house."""
        return self.label_d is not None and self.label_d != self.house_d

    @property
    def bowl(self) -> Decimal:
        """Grams in the bowl."""
        return bowl_of(self.cream, self.d)

    @property
    def developer(self) -> Decimal:
        """Grams of developer."""
        return developer_for(self.cream, self.d)

    @property
    def shades(self) -> tuple[str, str]:
        """The two shades in plain words."""
        return f"depth {self.depth} natural", f"depth {self.depth} {self.tone}"

    @property
    def decided_by(self) -> str:
        """Who decided the ratio at level exam."""
        return self.house_by if self.label_d is None else str(DecidedBy.LABEL)


class MixingRatioQuantities:
    """Exercise family ``mixing-ratio-quantities``."""

    key = "mixing-ratio-quantities"
    version = 1
    title = "Quantities from a mixing ratio"
    trains = "From bowl to parts and back"
    parameters = Bowl

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Bowl] | None:
        """Cream first, so that the cream and the bowl are whole grams."""
        if level is Level.EXAM:
            return self._draw_exam(dice, rules)
        d = dice.pick(RATIOS)
        if level is Level.FIRST:
            return Drawn(Bowl(str(level), d, dice.pick(_creams(d, EVEN))))
        a, b, depth, tone = _recipe(dice)
        return Drawn(Bowl(str(level), d, dice.pick(_creams(d, a + b)), a, b, depth, tone))

    def _draw_exam(self, dice: Dice, rules: Rules) -> Drawn[Bowl] | None:
        label = _own_label(rules)
        kind = dice.pick(tuple(KINDS)) if label is None else label.kind
        house = rules.with_label(None).decide("mixing_ratio", kind=kind)
        if label is None:
            label = _invented_label(dice, kind, house.number, rules.defaults.rule(house.rule_key))
        thrown = Bowl(str(Level.EXAM), house.number, Decimal(0), *_recipe(dice), kind=kind)
        drawn = _settled(thrown, label, rules)
        creams = _creams(drawn.parameters.d, thrown.a + thrown.b)
        if not creams:
            return None
        return replace(drawn, parameters=replace(drawn.parameters, cream=dice.pick(creams)))

    def under(self, drawn: Bowl, rules: Rules) -> Drawn[Bowl]:
        """At level exam the house ratio comes anew, beside the same label; the bowl stays.

        Its cream may then be no whole number of grams any more.
        """
        if drawn.level != Level.EXAM:
            return Drawn(drawn)
        ratios = () if drawn.label_d is None else (drawn.label_d,)
        anew = _settled(drawn, Label(drawn.label_name, drawn.kind, ratios=ratios), rules)
        cream = cream_in(drawn.bowl, anew.parameters.d)
        return replace(anew, parameters=replace(anew.parameters, cream=cream))

    def identity(self, drawn: Bowl) -> str:
        """Ratio, cream, recipe; at level exam also the house ratio."""
        house = "" if drawn.house_d is None else f"/{drawn.house_d}/{drawn.decided_by}"
        given = "forwards" if drawn.level == Level.FIRST else f"{drawn.a}:{drawn.b}"
        return f"{drawn.d}/{drawn.cream}/{given}{house}"

    def key_of(self, drawn: Bowl) -> dict[str, Value]:
        """Weights in grams, and who decided the ratio at level exam."""
        first, second = shared(drawn.cream, Decimal(drawn.a), Decimal(drawn.b))
        key: dict[str, Value] = {
            "cream": drawn.cream,
            "shade_1": first,
            "shade_2": second,
            "developer": drawn.developer,
            "bowl": drawn.bowl,
        }
        if drawn.level == Level.EXAM:
            key["decided_by"] = drawn.decided_by
        return key

    def fields(self, drawn: Bowl, tolerances: Tolerances) -> tuple[Field, ...]:
        """Forwards developer and bowl; else cream (double weight), shades, developer."""

        def weighed(key: str, label: str, weight: int = 1) -> Field:
            needs = NEEDS.get(key, ())
            return Field(key, label, Kind.GRAMS, weight, tolerances.grams, needs=needs)

        if drawn.level == Level.FIRST:
            return weighed("developer", "Developer"), weighed("bowl", "Everything in the bowl")
        first, second = drawn.shades
        asked = (
            weighed("cream", "Colour cream in all", 2),
            weighed("shade_1", first.capitalize()),
            weighed("shade_2", second.capitalize()),
            weighed("developer", "Developer"),
        )
        if drawn.level == Level.WORKING:
            return asked
        decided = Field(
            "decided_by",
            "What decided the ratio?",
            Kind.CHOICE,
            choices=DECIDED_CHOICES,
            needs=("Label, ratio", *RULE_RATIOS),
        )
        return *asked, decided

    def mistakes(self, drawn: Bowl) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        d, cream, bowl = drawn.d, drawn.cream, drawn.bowl
        both = f"Count both parts: 1 + {shown(d)}."
        not_half = f"1:{shown(d)} is not half and half."
        if drawn.level == Level.FIRST:
            if d != 1:
                yield Mistake("divided-by-d", "developer", cream / d, both)
                yield Mistake("half", "developer", cream, not_half)
            return
        if d != 1:
            yield Mistake("divided-by-d", "cream", bowl / d, both)
            yield Mistake("swapped", "cream", drawn.developer, "The larger part is the developer.")
        if d not in {1, 2} and not (drawn.overridden and drawn.house_d == 1):
            yield Mistake("half", "cream", bowl / 2, not_half)
        yield from self._shade_mistakes(drawn)
        if drawn.overridden and drawn.house_d:
            house_cream = cream_in(bowl, drawn.house_d)
            yield Mistake("house-ratio", "cream", house_cream, "The label decides.")
            yield Mistake("house-ratio", "decided_by", drawn.house_by, "The label decides.")

    def _shade_mistakes(self, drawn: Bowl) -> Iterator[Mistake]:
        a, b = drawn.a, drawn.b
        of_bowl, _ = shared(drawn.bowl, Decimal(a), Decimal(b))
        yield Mistake(
            "shade-of-bowl", "shade_1", of_bowl, "The shades share the cream, not the bowl."
        )
        if a != b:
            yield Mistake(
                "even-shades", "shade_1", drawn.cream / 2, f"{a}:{b} are not equal parts."
            )

    def text(self, drawn: Bowl) -> str:
        """One bowl to weigh out."""
        if drawn.level == Level.FIRST:
            return (
                f"You have weighed {shown(drawn.cream)} g of colour cream and mix it "
                f"1:{shown(drawn.d)}. How many grams of developer do you add, and how many grams "
                "are in the bowl then?"
            )
        first, second = drawn.shades
        recipe = (
            f"The colour is {counted(drawn.a, 'part')} {first} and "
            f"{counted(drawn.b, 'part')} {second}."
        )
        if drawn.level == Level.WORKING:
            return (
                f"Your bowl must hold {shown(drawn.bowl)} g, mixed 1:{shown(drawn.d)}. {recipe} "
                "Weigh it out."
            )
        return (
            f"Your bowl must hold {shown(drawn.bowl)} g of {KINDS[drawn.kind]}. {_house(drawn)}; "
            f"{_label(drawn)}. {recipe} Weigh it out and say what decided the ratio."
        )

    def givens(self, drawn: Bowl) -> tuple[Given, ...]:
        """The figures of the text."""
        if drawn.level == Level.FIRST:
            return (
                Given("Colour cream", shown(drawn.cream), "g"),
                Given("Colour to developer", f"1:{shown(drawn.d)}"),
            )
        first, second = drawn.shades
        rows = [
            Given("Bowl", shown(drawn.bowl), "g"),
            Given(f"{first.capitalize()} to {second}", f"{drawn.a}:{drawn.b}"),
        ]
        if drawn.house_d is None:
            rows.insert(1, Given("Colour to developer", f"1:{shown(drawn.d)}"))
        else:
            who = "House rule" if drawn.house_by == DecidedBy.HOUSE else "Standard rule"
            said = "none" if drawn.label_d is None else f"1:{shown(drawn.label_d)}"
            rows += [
                Given(f"{who}, ratio", f"1:{shown(drawn.house_d)}"),
                Given("Label, ratio", said),
            ]
        return tuple(rows)

    def lines(self, drawn: Bowl, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Parts of the bowl, one part, shades, developer, and the sum back to the bowl."""
        d, a, b = drawn.d, drawn.a, drawn.b
        if drawn.level == Level.FIRST:
            developer = figure(own.get("developer"), drawn.developer)
            return (
                Line(
                    "Developer",
                    f"{grams(drawn.cream)} × {shown(d)}",
                    grams(drawn.developer),
                    "developer",
                ),
                Line(
                    "Bowl",
                    f"{grams(drawn.cream)} + {grams(developer)}",
                    grams(drawn.cream + developer),
                    "bowl",
                ),
            )
        cream = figure(own.get("cream"), drawn.cream)
        first = figure(own.get("shade_1"), shared(cream, Decimal(a), Decimal(b))[0])
        developer = figure(own.get("developer"), developer_for(cream, d))
        parts = shown(1 + d)
        lines = (
            Line("Parts in the bowl", f"1 + {shown(d)}", f"{parts} parts"),
            Line(
                "Cream, one part",
                f"{grams(drawn.bowl)} ÷ {parts}",
                grams(cream_in(drawn.bowl, d)),
                "cream",
            ),
            Line(
                drawn.shades[0].capitalize(),
                f"{grams(cream)} × {a} ÷ {a + b}",
                grams(shared(cream, Decimal(a), Decimal(b))[0]),
                "shade_1",
            ),
            Line(
                drawn.shades[1].capitalize(),
                f"{grams(cream)} − {grams(first)}",
                grams(cream - first),
                "shade_2",
            ),
            Line(
                f"Developer, {counted(d, 'part')}",
                f"{grams(cream)} × {shown(d)}",
                grams(developer_for(cream, d)),
                "developer",
            ),
            Line("Check", f"{grams(cream)} + {grams(developer)}", grams(cream + developer)),
        )
        return lines if drawn.level == Level.WORKING else (_decided_line(drawn), *lines)

    def follow(self, drawn: Bowl, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Shades and developer on the own cream; forwards, the bowl on the own developer."""
        cream, developer = own.get("cream"), own.get("developer")
        if field == "bowl" and isinstance(developer, Decimal):
            yield Follow(drawn.cream + developer, f"{grams(drawn.cream)} + {grams(developer)}")
        if not isinstance(cream, Decimal):
            return
        if field == "shade_1":
            yield _part_of(cream, drawn.a, drawn.a + drawn.b)
        if field == "shade_2":
            first = own.get("shade_1")
            if isinstance(first, Decimal):
                yield Follow(cream - first, f"{grams(cream)} − {grams(first)}")
            yield _part_of(cream, drawn.b, drawn.a + drawn.b)
        if field == "developer":
            yield Follow(developer_for(cream, drawn.d), f"{grams(cream)} × {shown(drawn.d)}")
            yield Follow(drawn.bowl - cream, f"{grams(drawn.bowl)} − {grams(cream)}")


def _settled(bowl: Bowl, label: Label, rules: Rules) -> Drawn[Bowl]:
    """The bowl with the ratio that label and house come to, and who decided it."""
    house = rules.with_label(None).decide("mixing_ratio", kind=bowl.kind)
    decided = rules.with_label(label).decide("mixing_ratio", kind=bowl.kind)
    settled = replace(
        bowl,
        d=decided.number,
        house_d=house.number,
        house_by=str(house.decided_by),
        label_d=decided.number if decided.decided_by is DecidedBy.LABEL else None,
        label_name=label.name,
    )
    return Drawn(settled, (decided,))


def _recipe(dice: Dice) -> tuple[int, int, int, str]:
    a, b = dice.pick(SHARES)
    return a, b, dice.whole(4, 8), dice.pick(TONES)


def _own_label(rules: Rules) -> Label | None:
    """The label the paper was set with, where it is of use here."""
    label = rules.label
    usable = label is not None and label.kind in KINDS and len(label.ratios) <= 1
    return label if usable else None


def _invented_label(dice: Dice, kind: str, house_d: Decimal, rule: Rule) -> Label:
    """A label with another ratio than the house's, or with none."""
    others = [d for d in RATIOS if rule.allows(d) and d != house_d]
    silent = dice.chance(SILENT_ONE_IN) or not others
    return Label(TUBE, kind, ratios=() if silent else (dice.pick(others),))


@cache
def _creams(d: Decimal, parts: int) -> tuple[Decimal, ...]:
    """Whole grams of cream that divide into so many parts and make a whole bowl of a fair size."""
    creams = (Decimal(cream) for cream in range(LEAST_CREAM, MOST_CREAM + 1))
    return tuple(cream for cream in creams if cream % parts == 0 and _fits(bowl_of(cream, d)))


def _fits(size: Decimal) -> bool:
    return size == int(size) and LEAST_BOWL <= size <= MOST_BOWL


def _part_of(cream: Decimal, part: int, parts: int) -> Follow:
    return Follow(cream * part / parts, f"{grams(cream)} × {part} ÷ {parts}")


def _house(drawn: Bowl) -> str:
    ratio = f"1:{shown(drawn.house_d or Decimal(0))}"
    if drawn.house_by == DecidedBy.HOUSE:
        return f"Your house rule is {ratio}"
    return f"Your house has no rule of its own, the standard rule is {ratio}"


def _label(drawn: Bowl) -> str:
    if drawn.label_d is None:
        return f"the label of {drawn.label_name} gives no ratio"
    return f"the label of {drawn.label_name} says 1:{shown(drawn.label_d)}"


def _decided_line(drawn: Bowl) -> Line:
    if drawn.label_d is None:
        order = "The label is silent, so the rule holds"
    else:
        order = "Label before house rule before standard rule"
    word = next(choice.label for choice in DECIDED_CHOICES if choice.key == drawn.decided_by)
    return Line(order, f"ratio 1:{shown(drawn.d)}", word, "decided_by")
