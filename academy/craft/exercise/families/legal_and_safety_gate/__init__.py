"""May a colour service go ahead, and if not, why not and when.

Decisions where the trade page leaves room:

- Times are weekday and clock, test and service in the same week, from Monday to Saturday; the
  earliest time is answered the same way ("Thursday 14:00"), or with none: where nothing stands
  against it, and where waiting for the hours would not help. Hours count up to the service.
- A test that lies weeks back is given in weeks and days at the same hour; there the line asks for
  days, not hours. "No reading or reaction" is one reason. The peroxide is offered as a reason,
  since ``lab-conversion`` refuses because of it; no mixture of a stocked developer is above its
  limit.
- Of the questions asked before a service only those are drawn that refuse it (scalp, reaction to a
  colour, to black henna). The weeks since the last colour are on the card and change nothing.
- Level first keeps to at most one reason and full hours; level working has up to three; at level
  exam age, hours, days and the ingredient lie at their bounds, and 12 % is often called 40 volume.
- Rules that the house or a label has made stricter are printed; the standard ones are not.
- In the reasons each slip adds or leaves out one. To the plain yes or no it is named where it is
  the only one that leads there. ``lab-conversion`` is also the bottle's 12.14 % as the strength.
- Reasons carry over from own hours (or days) and the own ingredient; going ahead never.
"""

from __future__ import annotations

from academy.craft.exercise.families.legal_and_safety_gate.card import Card
from academy.craft.exercise.families.legal_and_safety_gate.family import LegalAndSafetyGate

__all__ = ["Card", "LegalAndSafetyGate"]
