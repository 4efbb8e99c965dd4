"""How much a head takes: area, regrowth, bowl, cream, shades and developer.

Decisions where the trade page leaves room:

- The recipe divides the cream into whole grams where the question is drawn; marked again under
  other rules the same recipe may come to tenths of a gram.
- Level first is always the 540 cm² head with one shade: with three ratios and five lengths there
  are fifteen questions, no more.
- Level exam gives two areas or more of any of the four heads, together at least three tenths of the
  scalp, and weeks in place of the length. ``whole-head`` is that head's own area; it is looked for
  in the need and the bowl too, as ``no-length`` is in the need.
- ``no-length`` cannot be told from ``inches`` in the need where the regrowth is near an inch; there
  it is named in the bowl only. Where both it and ``rounded-down`` come to the same bowl, the bowl
  is ``rounded-down``: the need has told of a forgotten length before.
- A question is only drawn where the printed figures (regrowth to 0.01 cm, need to 0.1 g) lead to
  the same bowl as the exact ones, so that rounding on the way costs nobody a mark, and where the
  need adds up from the four decimals that the solution prints of the regrowth.
- Areas are marked to 1 cm²: the rule ``tolerance.area`` (academy rule).
"""

from __future__ import annotations

from academy.craft.exercise.families.scale_a_recipe_to_a_head.family import ScaleARecipe
from academy.craft.exercise.families.scale_a_recipe_to_a_head.heads import Regrowth

__all__ = ["Regrowth", "ScaleARecipe"]
