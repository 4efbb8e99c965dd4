"""What is left of a developer in the bowl, and whether an ingredient keeps to its limit there.

Decisions where the trade page leaves room:

- Level first is 1:1; levels working and exam may be any ratio, working also three equal parts of
  colour, developer and conditioner. In three equal parts ``always-half`` is a slip, ``inverted``
  is three times the bottle, and the slips about d fall away.
- The ingredient is drawn under, at or over its limit, each as often; off the limit the tube holds
  a multiple of half a per cent, from half to one and a half times what would be the limit.
- Level exam keeps to strengths on the head of at most two decimals. The slip ``bottle`` is then
  the other way round, so its first sentence is too.
- Limits are those of the law that the academy's rules hold; no label or house rule moves them.
"""

from __future__ import annotations

from academy.craft.exercise.families.strength_on_the_head.bowls import Mixture
from academy.craft.exercise.families.strength_on_the_head.family import StrengthOnTheHead

__all__ = ["Mixture", "StrengthOnTheHead"]
