"""The whole decision for white coverage, from the share of base shade to the latest rinse.

Decisions where the trade page leaves room:

- The head's white is the mean of the five areas weighted by their size, to the nearest 5. About
  half of the draws have a leading area; what counts as leading is the rule ``start_lead``.
- A share of 0 or 100 asks no split and is drawn again, whichever rule chose it.
- Level first keeps to 500 cm² and whole centimetres and prints the ratio; spread and the step of
  4 g are printed at every level, nobody knows them by heart.
- The slips about the share are looked for in the share itself as well as in the natural grams;
  ``house-ratio`` also in the ratio and the developer.
- Under the rules "half" and "proportional" there is no other column, so ``wrong-column`` falls
  away. Under "proportional" the share is the white figure, so ``white-as-share`` does too.
- Level exam draws Training cream A or B, or the label its paper was set with, if that is a
  permanent colour. "What decided" asks about one drawn item (ratio, ceiling, share or strength),
  so that it is not always the label; which of these the house has changed is printed, and so is
  all that the label says of them.
- Where a rule gives no whole minutes nothing is drawn: clocks have none.
- Time counts from the end of application unless the label says otherwise; under a label that
  counts from the start ``from-start`` equals the key, so it falls away.
"""

from __future__ import annotations

from academy.craft.exercise.families.cover_white_hair.family import CoverWhiteHair
from academy.craft.exercise.families.cover_white_hair.plan import Head, WhiteHair

__all__ = ["CoverWhiteHair", "Head", "WhiteHair"]
