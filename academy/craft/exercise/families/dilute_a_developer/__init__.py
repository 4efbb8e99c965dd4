"""Thinning a developer with a neutral cream: stock, neutral and parts.

Decisions where the trade page leaves room:

- All numbers come from lists of sums that work out in whole grams, at least 10 g of each; each
  pair of strengths comes up as often as another.
- Level first keeps to a half or a third of the stock; level exam is either the stock named by
  volume or the sum turned round, each as often. Turned round, the given stock is a multiple of
  10 g and the total is whatever comes out, up to 240 g; stock is then not asked, so no field
  weighs double.
- ``total-as-stock`` also names a total that repeats the given stock.
- Parts carry over only exactly: a ratio has no tolerance.
"""

from __future__ import annotations

from academy.craft.exercise.families.dilute_a_developer.family import DiluteADeveloper
from academy.craft.exercise.families.dilute_a_developer.sums import Dilution

__all__ = ["DiluteADeveloper", "Dilution"]
