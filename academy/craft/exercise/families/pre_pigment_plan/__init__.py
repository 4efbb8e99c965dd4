"""When light hair is filled before it goes dark, with which warmth, and how much.

Decisions where the trade page leaves room:

- The mixing ratio of permanent colour and the 3 % of a deposit come from their rules; the ratio is
  printed, the strength is part of the task.
- No label has a say: the colour is a plain natural shade, and a label that is not printed could
  not be known.
- Every draw lets warmth, shade depth and pre-pigment be "none", so that the form does not give
  the answer away. The warmths to choose from are the stages and the cool half of the wheel.
- Where the filling is needed, ``skipped`` also names "none" for warmth, shade depth and weight;
  where it is not, ``needless`` names what would have been filled, and ``warmth-of-now`` and
  ``counter-tone`` fall away: their advice would be about a filling that is not due.
- ``counter-tone`` also names what the chart accepts beside the counter-tone. At depth 5 red-orange
  is accepted as the warmth, as the table of stages says.
- Level exam, each as often: the house the apprentice helps out in fills from 2 depths on (half of
  these draws are 2 depths apart), or only the lengths are light and the regrowth has the target
  depth already. Then only the cream for the lengths counts for the pre-pigment, and a slip of our
  own, ``all-over``, names the figure for the whole head. "What decided" asks about the need.
- Under a house rule that puts the shade between two depths nothing is asked.
"""

from __future__ import annotations

from academy.craft.exercise.families.pre_pigment_plan.family import PrePigmentPlan
from academy.craft.exercise.families.pre_pigment_plan.plan import Filling, Wish

__all__ = ["Filling", "PrePigmentPlan", "Wish"]
