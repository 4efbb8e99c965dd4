"""Root colour and foils on one head: two clocks, two ceilings, one rinse.

Decisions where the trade page leaves room:

- Minutes and ceiling of the roots are those of permanent colour on white hair, normal or
  resistant; exposure and first check of the foils are those of lightener in foils. At level exam a
  label decides them: that of Training cream A or B, or the one the paper was set with if it is a
  permanent colour or a lightener for foils. Every figure is printed, so nobody has to know it.
- Level first is one process at a time: the root colour, and foils on another head.
- Level exam: in three draws of ten the joint rinse is not possible. In every exam question the
  roots need one, two or three extensions at their check, so that what is asked does not tell which
  it is; the question is whether that fits. The joint rinse moves only as far as the roots decide
  it; the ceilings stay where they are.
- Where no joint rinse is possible the earliest and the latest are the figures that show it (the
  later of root check and foils ready, the earlier ceiling); "none" earns the marks as well. Every
  exam question takes "none" there, so that this gives nothing away.
- ``ceiling-forgotten`` is the second example's slip: rinsing jointly at the earliest time although
  a ceiling is past by then.
- "Possible" carries over from the own window, but never from a latest rinse past the ceiling; most
  foils from the own latest rinse and the own first foil. Nothing carries over into a ceiling.
- Where a house rule is no whole number of minutes nothing is drawn: clocks have none.
"""

from __future__ import annotations

from academy.craft.exercise.families.two_process_timing.family import TwoProcessTiming
from academy.craft.exercise.families.two_process_timing.plan import Service

__all__ = ["Service", "TwoProcessTiming"]
