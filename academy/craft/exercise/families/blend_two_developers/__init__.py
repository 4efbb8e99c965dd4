"""Two developers crossed to a strength between them, and the refusal of what cannot be made.

Decisions where the trade page leaves room:

- All numbers come from lists of sums that work out in whole grams, at least 10 g of each; each
  pair of strengths and target comes up as often as another. Sums in which two slips come to the
  same grams (a target of half the stronger: ``halves`` is ``as-if-water``) are left out of them.
- Level exam: one draw in five has a target outside the two, the others are forwards or turned
  round, each as often. Forwards and outside ask the same lines in the same words, so that nothing
  but the sum gives the answer away; where it cannot be made the right answer of each weight and of
  the parts is "none".
- A weight in a mix that cannot be made carries nothing over: no marks for the rest of an error
  that would be dangerous.
- Turned round, the given weaker developer is a multiple of 10 g and the total is whatever comes
  out, up to 240 g. There is always a mix then, so it is not asked whether it can be made.
- Parts carry over only exactly: a ratio has no tolerance.
"""

from __future__ import annotations

from academy.craft.exercise.families.blend_two_developers.family import BlendTwoDevelopers
from academy.craft.exercise.families.blend_two_developers.sums import Blend

__all__ = ["Blend", "BlendTwoDevelopers"]
