"""Reading a strand and acting within the ceiling.

Decisions where the trade page leaves room:

- The processes are permanent colour on white hair, normal or resistant, and lightener in foils;
  lightener on the scalp has no place that is checked first. Level exam is one of each in one scene,
  with one clock, one person and one scalp; a broken strand ends its own process only.
- What decides is thrown first, the numbers to it after that, so that every rule comes up: five more
  minutes twice as often as another. Below level exam each of the six rules can fit; level first
  keeps to "done" and "one more step", with times in steps of 5.
- The ceiling is that of the rules or of the paper's label and is printed. The step is printed where
  the house has changed it. A rule that is not in whole minutes asks nothing.
- ``long-step`` is named where one more step is right; elsewhere "one step is five minutes" would
  sound as if five more were allowed. ``past-ceiling`` also names the decision to go on and a next
  check two steps on, ``ignored-damage`` a next check after one, and ``rinse-translucent`` a rinse
  of hair in foils that is not at target yet.
- The next check carries over from the own decision, also from one that is merely wrong; never from
  one that is unsafe.
"""

from __future__ import annotations

from academy.craft.exercise.families.strand_check_decision.family import StrandCheckDecision
from academy.craft.exercise.families.strand_check_decision.scene import Scene

__all__ = ["Scene", "StrandCheckDecision"]
