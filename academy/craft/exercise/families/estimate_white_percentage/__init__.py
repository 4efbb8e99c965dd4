"""Sampling white by area and weighting it.

Decisions where the trade page leaves room:

- The areas' shares of the scalp are printed from level working on, nobody knows them by heart. 20
  hairs are counted in each area at level first, 20 or 40 after it.
- About one draw in six from level working on is thrown so that the head comes out exactly at a
  border of the bands, or ``wrong-border`` would never show. Nearer to a border than the tolerance,
  but not at it, no head lies: its figure rounded would choose the other share.
- A label with bands of its own wins where the paper is set with one, and then prints them.
- ``pigmented`` and ``count-as-percent`` are looked for in every area and in the head.
- At level exam the plain mean lies in another band than the head, under every rule for the share.
- The base share of every band is kept with the question, so that it can follow from the own head.
  Under the rule "proportional" the share is the white itself; there is no border then.
"""

from __future__ import annotations

from academy.craft.exercise.families.estimate_white_percentage.family import (
    EstimateWhitePercentage,
)
from academy.craft.exercise.families.estimate_white_percentage.sample import Sample

__all__ = ["EstimateWhitePercentage", "Sample"]
