"""From bowl to parts and back: cream, shades and developer at a mixing ratio.

Decisions where the trade page leaves room:

- Level first is forwards with an even cream given, so there is nothing to share: one shade. Levels
  working and exam have two shades, since all four fields are asked.
- Forwards the page's "count both parts" would not help, since nothing is divided into parts:
  ``divided-by-d`` is told how many times the cream the developer is.
- With 1:2 the slips ``half`` and ``divided-by-d`` give the same cream; ``divided-by-d`` is kept,
  it is the one that happens. Forwards they differ, and both are kept.
- Level exam: the colour is permanent or quasi-permanent, and the label's ratio lies in the range
  of that kind and differs from the house ratio. Where the house ratio is 1:1, half the bowl is the
  house ratio's own figure, so only ``house-ratio`` is named for it. Once in four draws the label
  gives no ratio: then the house rule (or the standard rule) decides, and the field "what decided"
  is not the same answer every time.
- A paper set with a label of the academy's own is drawn under that label instead.
- A wrong "what decided" is named ``house-ratio`` where the label decided.
"""

from __future__ import annotations

from academy.craft.exercise.families.mixing_ratio_quantities.bowls import Bowl
from academy.craft.exercise.families.mixing_ratio_quantities.family import MixingRatioQuantities

__all__ = ["Bowl", "MixingRatioQuantities"]
