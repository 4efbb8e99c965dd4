"""What happens in a two-process service, shuffled: put it in the order of the clock.

Decisions (the trade page has no such family; the times are those of two-process timing, 4.11):

- Level first: five events, with the clock times of root colour and foils printed; two checks are
  to be worked out. Level working: six, with the clock time of the first foil. Level exam: eight,
  with nothing but the start on the clock, under a label as in two-process timing.
- Any number of foils is drawn, also one with which no joint rinse is possible: the order is asked,
  not whether it fits. The latest joint rinse is the earlier ceiling; at level exam the later
  ceiling is another event.
- Two events at the same minute are never drawn.
- A slip in a time is named where it alone comes to that order and leaves no two events at the same
  minute; otherwise two neighbours exchanged are told their times.
- The order is all or nothing and weighs three. Nothing carries over.
"""

from __future__ import annotations

from academy.craft.exercise.families.order_of_a_two_process_plan.events import PlanOrder
from academy.craft.exercise.families.order_of_a_two_process_plan.family import (
    OrderOfATwoProcessPlan,
)

__all__ = ["OrderOfATwoProcessPlan", "PlanOrder"]
