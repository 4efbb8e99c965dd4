"""What is printed: the choices, the text, the table under it, the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_line
from academy.craft.exercise.families.lightener_and_lift_choice.plan import (
    FOILS,
    FULL,
    REGROWTH,
    LiftPlan,
)
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.lift import HIGH_LIFT_FROM, LIFT_NOTE, PRODUCT_OF, Place, ProductKind
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.undertone import STAGES
from academy.craft.measure import Choice, Kind, Value, counted, shown, shown_as
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from decimal import Decimal

PRODUCTS = (
    Choice(
        ProductKind.DEPOSIT.value,
        "Deposit colour, permanent or quasi-permanent, no lift",
        ("deposit colour", "quasi", "quasi-permanent", "quasi-permanent colour"),
    ),
    Choice(
        ProductKind.PERMANENT.value, "Permanent colour that lifts", ("permanent colour", "tint")
    ),
    Choice(ProductKind.HIGH_LIFT.value, "High-lift colour", ("high-lift",)),
    Choice(ProductKind.LIGHTENER.value, "Lightener", ("bleach",)),
)
STAGE_CHOICES = tuple(Choice(stage, stage.capitalize()) for stage in STAGES)
WHERE = {
    FOILS: "in foils",
    REGROWTH: "on the regrowth, at the scalp",
    FULL: "on the whole head, from the scalp",
}
LENGTH_WORDS = {"short": "short hair", "medium": "hair of medium length", "long": "long hair"}
_HAIR = ("Hair", "Where", "Depth now", "Wanted")
_LABEL_STRENGTH = ("Label, strength", "Rules your house")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "lift": ("Depth now", "Wanted"),
    "product": _HAIR,
    "strength": (*_LABEL_STRENGTH, *_HAIR),
    "powder": ("Foils", "Length", "Powder"),
    "developer": ("Where", "Label, powder"),
    "on_head": ("Where", "Label, powder"),
    "stage": ("Wanted",),
    "decided_by": _LABEL_STRENGTH,
}


def text_of(drawn: LiftPlan) -> str:
    """One head, one wish."""
    kind = "tinted" if drawn.tinted else "natural"
    hair = f"Your client’s hair is {kind}, depth {drawn.present}. Wanted: depth {drawn.target}, "
    if drawn.level == Level.FIRST:
        return f"{hair}{WHERE[drawn.where]}. How many depths of lift are needed, and with what?"
    where = f"in {drawn.foils} foils" if drawn.where == FOILS else WHERE[drawn.where]
    head = f"{hair}{where}; {LENGTH_WORDS[drawn.length]}"
    if not drawn.weighs:
        return f"{head}. What lift is needed, with what, and how strong?"
    asked = "What lift is needed, with what, how strong, and what do you weigh?"
    if drawn.level == Level.WORKING:
        return f"{head}. {asked}"
    return f"{head}. The label of {drawn.label} is below. {asked} What decided the strength?"


def givens_of(drawn: LiftPlan) -> tuple[Given, ...]:
    """The head, the house's figures for powder, and the label at level exam."""
    rows = (
        Given("Hair", "tinted" if drawn.tinted else "natural"),
        Given("Depth now", str(drawn.present)),
        Given("Wanted", f"depth {drawn.target}"),
        Given("Where", WHERE[drawn.where]),
    )
    return rows if drawn.level == Level.FIRST else (*rows, *_weighed_rows(drawn))


def _weighed_rows(drawn: LiftPlan) -> Iterator[Given]:
    if drawn.where == FOILS:
        yield Given("Foils", str(drawn.foils))
    yield Given("Length of hair", drawn.length)
    if drawn.weighs:
        each = "one foil" if drawn.where == FOILS else "a full head"
        yield Given(f"Powder for {each}, by length", drawn.factors, "g", "Powder, by length")
    if drawn.label:
        yield Given("Label, strength", drawn.label_says)
        yield Given("Label, powder to developer", drawn.label_ratio)
        changed = drawn.changed or "none for lightener"
        yield Given("Rules your house has changed", changed, short="House has changed")


def lines_of(drawn: LiftPlan, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Lift, product and strength; with lightener the bowl, the stage and its counter-tone."""
    lift = figure(own.get("lift"), drawn.lift)
    choice = (
        Line(
            "Lift",
            f"{drawn.target} − {drawn.present}",
            shown_as(Kind.STEPS, drawn.lift),
            "lift",
        ),
        _product_line(drawn, lift),
    )
    if drawn.level == Level.FIRST:
        return choice
    most = "" if drawn.limit is None else f", never above {shown(drawn.limit)} % here"
    strength = Line(
        f"Developer strength{most}",
        drawn.strength_rule,
        f"{shown(drawn.strength)} %",
        "strength",
    )
    if not drawn.weighs:
        return *choice, strength
    return *choice, strength, *_bowl_lines(drawn, own), *_stage_lines(drawn), *_decided_line(drawn)


def _product_line(drawn: LiftPlan, lift: Decimal) -> Line:
    task = drawn.ladder.task_for(lift, drawn.hair)
    product = next(each for each in PRODUCTS if each.key == PRODUCT_OF[task].value)
    why, words = _why(task, drawn), "Product"
    if task != "deposit" and not drawn.tinted and drawn.place is Place.SCALP:
        words = f"Product. {LIFT_NOTE.rstrip('.')}"
    return Line(words, f"lift {counted(lift, 'depth')}: {why}", product.label, "product")


def _why(task: str, drawn: LiftPlan) -> str:
    if task == "deposit":
        return "nothing is to lift"
    if drawn.tinted:
        return "tinted hair, and colour does not lift colour"
    if drawn.place is Place.FOILS:
        return "in foils the lightener lifts"
    ladder = drawn.ladder
    return {
        "lift_1_2": f"6 % lifts up to {counted(ladder.most_6, 'depth')}",
        "lift_3": f"9 % lifts up to {counted(ladder.most_9, 'depth')}",
        "high_lift": f"12 % lifts up to {counted(ladder.most_12, 'depth')} "
        f"from depth {HIGH_LIFT_FROM} on",
    }.get(task, f"more than colour lifts from depth {drawn.present}")


def _bowl_lines(drawn: LiftPlan, own: Mapping[str, Value]) -> tuple[Line, ...]:
    powder = figure(own.get("powder"), drawn.powder)
    developer = figure(own.get("developer"), developer_for(powder, drawn.d))
    strength = shown(figure(own.get("strength"), drawn.strength))
    if drawn.where == FOILS:
        exact = drawn.foils * drawn.factor
        rounded = "" if exact == drawn.powder else f" = {shown(exact)} g, to whole grams"
        weighed = f"{drawn.foils} × {shown(drawn.factor)} g{rounded}"
    else:
        weighed = f"full head, {drawn.length} hair"
    in_bowl = developer * figure(own.get("strength"), drawn.strength) / (powder + developer)
    return (
        Line("Powder", weighed, grams(drawn.powder), "powder"),
        Line(
            f"Developer, {drawn.d_rule}",
            f"{grams(powder)} × {shown(drawn.d)}",
            grams(developer_for(powder, drawn.d)),
            "developer",
        ),
        Line(
            "Strength on the head",
            f"{grams(developer)} × {strength} ÷ ({grams(powder)} + {grams(developer)})",
            shown_as(Kind.STRENGTH, in_bowl),
            "on_head",
        ),
    )


def _stage_lines(drawn: LiftPlan) -> tuple[Line, ...]:
    besides = f"; {drawn.accepted} accepted too" if drawn.accepted else ""
    return (
        Line(
            f"Stage at depth {drawn.target}{besides}",
            drawn.stage_rule,
            drawn.stage,
            "stage",
        ),
        Line("What cancels it later", drawn.tone_rule, drawn.tone),
    )


def _decided_line(drawn: LiftPlan) -> tuple[Line, ...]:
    if not drawn.label:
        return ()
    why = (
        "the label says so"
        if drawn.strength_by == DecidedBy.LABEL
        else "the label leaves it to the rule"
    )
    return (decided_line("What decided the strength", why, drawn.strength_by),)
