"""A panel of foils: how many, what share they take, powder, developer and time.

Decisions where the trade page leaves room:

- The weave is one of the academy's own classes or, at level working, a slice; its stitch and gap,
  the powder for a foil by length of hair and the ratio of the lightener are rules, printed with
  the question. A slice has nothing left out, so the slips about the weave fall away.
- Runs are whole millimetres. At levels working and exam a part of a foil is left at the end.
- At level first no part of a foil is left: there ``one-more`` is told that the panel is full.
- Runs on which two slips come to the same number of foils are left out.
- Level exam: the wanted share works out with at most one decimal. Where the house's weaves give no
  such share it is printed rounded to one decimal. What is left between is a length by hand: an
  answer within half a millimetre earns the marks (``tolerance.spacing``).
- The woven share may be answered above 100 %: that is what comparing with the rest gives.
- Powder is not rounded to whole grams, since nobody weighs here; the answer has its tolerance.
"""

from __future__ import annotations

from academy.craft.exercise.families.foil_plan.family import FoilPlan
from academy.craft.exercise.families.foil_plan.panel import Panel

__all__ = ["FoilPlan", "Panel"]
