"""Naming the stage, choosing its opposite, in a sensible amount.

Decisions where the trade page leaves room:

- The target lies at most two depths below the depth reached and never under 3. At level exam one
  draw in five wants one or two depths lighter: the answer is "lift more first", and since nothing
  is mixed then, the weights are none. At that level every weight may be none, so that the form does
  not give the answer away.
- 1:2 is the rule for quasi-permanent colour, which a toner is; another house ratio or a label
  shows in the figures, since the ratio is printed. The share by strength is not printed: knowing
  it is part of the task.
- A tone reads by its wheel word, by a word of the trade that lies on it (gold, copper) and by the
  shade word (matt with ash). Whatever the table accepts besides the counter-tone earns the marks;
  where the house has a counter-tone of its own, only that one does.
- Where more lift is needed, ``toner-lifts`` also names the tones accepted at the depth reached,
  their neighbours, and the weights of the toner; a toner's partner does not carry over then.
- ``neighbour`` gives way to ``same-side`` where a house rule puts both on one tone; of two slips
  that come to one weight the first in the order of the trade page is kept.
"""

from __future__ import annotations

from academy.craft.exercise.families.neutralise_a_tone.family import NeutraliseATone
from academy.craft.exercise.families.neutralise_a_tone.plan import Toner

__all__ = ["NeutraliseATone", "Toner"]
