"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_field
from academy.craft.exercise.families.lightener_and_lift_choice.plan import (
    Head,
    LiftPlan,
    exam_label,
    invented_label,
    settled,
    throw_head,
)
from academy.craft.exercise.families.lightener_and_lift_choice.sheet import (
    NEEDS,
    PRODUCTS,
    STAGE_CHOICES,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.families.lightener_and_lift_choice.slips import slips_of
from academy.craft.exercise.family import (
    Dice,
    Drawn,
    Follow,
    Tolerances,
    figure,
    grams,
    part_of,
)
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.lift import PRODUCT_OF
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import Kind, Value, counted, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class LightenerAndLiftChoice:
    """Exercise family ``lightener-and-lift-choice``."""

    key = "lightener-and-lift-choice"
    version = 1
    title = "Choosing lightener and lift"
    trains = "Needed lift, right product, right strength, powder by foil count"
    parameters = LiftPlan

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[LiftPlan] | None:
        """A head with its wish, under a label at level exam."""
        if level is not Level.EXAM:
            return settled(throw_head(dice, level, None), level, rules.with_label(None))
        label, place = exam_label(dice, rules)
        return settled(throw_head(dice, level, place), level, rules.with_label(label))

    def under(self, drawn: LiftPlan, rules: Rules) -> Drawn[LiftPlan] | None:
        """The same head under other rules, at level exam beside the same label."""
        head, level, label = part_of(Head, drawn), Level(drawn.level), None
        if level is Level.EXAM:
            own = rules.label
            invented = invented_label(head.place, drawn.label_top)
            label = own if own is not None and own.name == drawn.label else invented
        return settled(head, level, rules.with_label(label))

    def identity(self, drawn: LiftPlan) -> str:
        """The head; at level exam also what the label says."""
        kind = "tinted" if drawn.tinted else "natural"
        hair = f"{kind}/{drawn.present}-{drawn.target}/{drawn.where}"
        if drawn.level == Level.FIRST:
            return f"first/{hair}"
        if not drawn.weighs:
            return hair
        size = f"{drawn.foils}/{drawn.length}"
        return f"{hair}/{size}/{drawn.label_says}" if drawn.label else f"{hair}/{size}"

    def key_of(self, drawn: LiftPlan) -> dict[str, Value]:
        """Lift and product, then strength; with lightener the bowl and the stage."""
        key: dict[str, Value] = {
            "lift": drawn.lift,
            "product": drawn.product.value,
            "strength": drawn.strength,
        }
        if drawn.weighs:
            key |= {
                "powder": drawn.powder,
                "developer": drawn.developer,
                "on_head": drawn.strength_on_head,
                "stage": drawn.stage,
            }
        if drawn.label:
            key["decided_by"] = drawn.strength_by
        return key

    def fields(self, drawn: LiftPlan, tolerances: Tolerances) -> tuple[Field, ...]:
        """Lift and product (double weight); then strength; with lightener the bowl and stage."""
        return tuple(
            replace(field, needs=NEEDS[field.key]) for field in self._asked(drawn, tolerances)
        )

    def _asked(self, drawn: LiftPlan, tolerances: Tolerances) -> Iterator[Field]:
        yield Field("lift", "Lift needed", Kind.STEPS)
        yield Field("product", "Product", Kind.CHOICE, 2, choices=PRODUCTS)
        if drawn.level == Level.FIRST:
            return
        yield Field(
            "strength",
            "Developer strength",
            Kind.STRENGTH,
            tolerance=tolerances.strength,
            safety=None if drawn.limit is None else Safety.ABOVE,
            limit=drawn.limit,
        )
        if not drawn.weighs:
            return
        yield Field("powder", "Powder", Kind.GRAMS, tolerance=tolerances.grams)
        yield Field("developer", "Developer", Kind.GRAMS, tolerance=tolerances.grams)
        yield Field("on_head", "Strength on the head", Kind.STRENGTH, tolerance=tolerances.strength)
        also: tuple[Value, ...] = tuple(drawn.accepted.split(", ")) if drawn.accepted else ()
        yield Field("stage", "Stage to expect", Kind.CHOICE, choices=STAGE_CHOICES, also=also)
        if drawn.label:
            yield decided_field("the strength")

    def mistakes(self, drawn: LiftPlan) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: LiftPlan) -> str:
        """One head, one wish."""
        return text_of(drawn)

    def givens(self, drawn: LiftPlan) -> tuple[Given, ...]:
        """The head, the house's figures for powder, and the label at level exam."""
        return givens_of(drawn)

    def lines(self, drawn: LiftPlan, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Lift, product and strength; with lightener the bowl, the stage and who decided."""
        return lines_of(drawn, own)

    def follow(self, drawn: LiftPlan, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Product by own lift, developer by own powder, strength on the head by the own bowl."""
        lift, powder = own.get("lift"), own.get("powder")
        if field == "product" and isinstance(lift, Decimal):
            product = PRODUCT_OF[drawn.ladder.task_for(lift, drawn.hair)]
            yield Follow(product.value, f"lift {counted(lift, 'depth')}")
        if field == "developer" and isinstance(powder, Decimal):
            yield Follow(developer_for(powder, drawn.d), f"{grams(powder)} × {shown(drawn.d)}")
        if field == "on_head" and own.keys() & {"strength", "powder", "developer"}:
            weighed = figure(powder, drawn.powder)
            developer = figure(own.get("developer"), drawn.developer)
            strength = figure(own.get("strength"), drawn.strength)
            yield Follow(
                developer * strength / (weighed + developer),
                f"{grams(developer)} × {shown(strength)} ÷ ({grams(weighed)} + {grams(developer)})",
            )
