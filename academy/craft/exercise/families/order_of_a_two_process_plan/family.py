"""The family itself: what is drawn, asked and marked."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from academy.craft.exercise.families.order_of_a_two_process_plan.events import (
    PlanOrder,
    asked,
    slips_of,
    throw_order,
)
from academy.craft.exercise.families.order_of_a_two_process_plan.sheet import (
    NAMES,
    givens_of,
    inside,
    lines_of,
    text_of,
    timed,
)
from academy.craft.exercise.families.two_process_timing.plan import settled_anew
from academy.craft.exercise.ordering import lettered, order_field, order_slips
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.measure import Value, clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances
    from academy.craft.rules import Rules

_PLACES = {event: place for place, event in enumerate(NAMES)}


class OrderOfATwoProcessPlan:
    """Exercise family ``order-of-a-two-process-plan``."""

    key = "order-of-a-two-process-plan"
    version = 1
    title = "Order of a two-process plan"
    trains = "Seeing two clocks as one row of events"
    parameters = PlanOrder

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[PlanOrder] | None:
        """A service with any number of foils, and some of its events."""
        return throw_order(dice, level, rules)

    def under(self, drawn: PlanOrder, rules: Rules) -> Drawn[PlanOrder] | None:
        """The same events under other rules; None where two fall on the same minute."""
        level = Level(drawn.level)
        timed = replace(drawn, level=str(Level.EXAM if level is Level.EXAM else Level.WORKING))
        anew = settled_anew(timed, rules)
        return None if anew is None else asked(anew, level, drawn.printed)

    def identity(self, drawn: PlanOrder) -> str:
        """Everything that enters a time, and the events under their letters."""
        roots = f"{drawn.application}-{drawn.root_minutes}-{drawn.root_ceiling}"
        foils = f"{drawn.change_over}-{drawn.foils}x{drawn.pace}"
        exposure = f"{drawn.foil_check_after}-{drawn.foil_least}-{drawn.foil_ceiling_after}"
        letters = "-".join(str(_PLACES[event]) for event in drawn.printed)
        counted = f"{clock(drawn.starts_at)}/{roots}/{foils}/{exposure}"
        return f"{drawn.level}/{counted}/{drawn.label}/{letters}"

    def key_of(self, drawn: PlanOrder) -> dict[str, Value]:
        """The letters in the order of the clock."""
        return {"order": drawn.right}

    def fields(self, drawn: PlanOrder, tolerances: Tolerances) -> tuple[Field, ...]:
        """The order, three marks."""
        del tolerances
        choices = lettered([NAMES[event] for event in drawn.printed])
        return (order_field("What happens, first to last", choices),)

    def mistakes(self, drawn: PlanOrder) -> Iterator[Mistake]:
        """The slips of two-process timing as orders, then neighbours exchanged, then backwards."""
        events = drawn.in_order

        def before(place: int) -> str:
            one, other = events[place], events[place + 1]
            return f"{timed(drawn, one)} comes before {inside(drawn, other)}."

        backwards = f"That is the order backwards: {inside(drawn, events[0])} comes first."
        return order_slips(drawn.right, tuple(slips_of(drawn)), before, backwards)

    def text(self, drawn: PlanOrder) -> str:
        """One service whose times stand in the table."""
        return text_of(drawn)

    def givens(self, drawn: PlanOrder) -> tuple[Given, ...]:
        """Clock times in part, and minutes for the rest."""
        return givens_of(drawn)

    def lines(self, drawn: PlanOrder, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Event after event with its time, then the letters in a row."""
        del own
        return lines_of(drawn)

    def follow(self, drawn: PlanOrder, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Nothing: there is one answer."""
        del drawn, field, own
        return ()
