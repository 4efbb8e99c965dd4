"""A gloss in three equal parts: what is weighed, how strong it is, and its short clock.

Decisions where the trade page leaves room:

- Level first asks for the three weights only, so it has as many questions as there are bowls: five.
- Levels working and exam have one shade or two in 2:1, each as often; shades may come to tenths of
  a gram. The clock starts where the gloss is applied; how long it may stay is the house's rule and
  is not printed, as with every development time.
  Where it is in no whole minutes, or the first look would come last, nothing is drawn.
- Level exam: the label gives another strength than the rule, and once in four draws none, so that
  "what decided" is not the same answer every time. A paper set with a gloss label of the
  academy's own is drawn under that label. Taking the rule's strength where the label has another
  is named ``house-strength``, with the sentence of the ratio family.
- Every second exam draw is at shade at the first look: then it is asked what is done and when, in
  place of the latest rinse. A rinse past the ceiling is not safe there either; rinsing between
  first look and ceiling is merely wrong. ``latest-as-rinse`` names the choice to wait as well.
- ``colour-clock`` is 35 minutes after the application whatever rule a house has for colour.
"""

from __future__ import annotations

from academy.craft.exercise.families.gloss_equal_parts.bowls import Gloss
from academy.craft.exercise.families.gloss_equal_parts.family import GlossEqualParts

__all__ = ["Gloss", "GlossEqualParts"]
