"""Needed lift, the right product, the right strength, and the powder.

Decisions where the trade page leaves room:

- A regrowth is natural hair, so tinted hair comes in foils or on the whole head. Where the powder
  is weighed, lightener on the scalp is a full head: the page's figures are those of a full head.
- What the house takes for one foil, or for a full head, is printed for every length of hair,
  nobody knows it by heart. The mixing ratio is not: knowing it is part of the task. A label's
  ratio is printed.
- Strength is asked at every level but the first. Lightener brings powder, developer, strength on
  the head and the stage with it, so these lines themselves tell the product; the page wants it so.
- ``colour-lifts-colour`` also names high-lift colour on tinted hair. ``too-strong`` names every
  stronger one of 6, 9 and 12 %; over the limit the answer is "not safe" besides.
- Red-orange is accepted as the stage of depth 5, as the table of stages says.
- Level exam: lightener under its label. The label lets at most 3 % through in every second draw,
  else a figure that does not bind in foils, or none; then a rule decides. A paper set with a label
  of lightener of the academy's own is drawn under that one, and its kind settles the place.
- The label's strengths limit as well as its top strength; where the label does not bind, the rule
  for the task decides, not the rule for the top strength.
"""

from __future__ import annotations

from academy.craft.exercise.families.lightener_and_lift_choice.family import LightenerAndLiftChoice
from academy.craft.exercise.families.lightener_and_lift_choice.plan import Head, LiftPlan

__all__ = ["Head", "LiftPlan", "LightenerAndLiftChoice"]
