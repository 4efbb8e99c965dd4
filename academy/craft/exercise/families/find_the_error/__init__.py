"""Spotting a wrong sentence, saying what is right, and naming the slip behind it.

Decisions where the trade page leaves room:

- Level working also says the sentences about volume, bottle and halves, with their value: the slips
  ``divide-by-3`` and ``subtract`` show only there, since level first asks for no value.
- The claim about a mixture is the plain mean or, of two parts, the stronger one alone ("taken for
  water"); another family's slip each. Three parts claim the plain mean.
- All sums come from lists in which claim and right value have at most one decimal (two for a
  mixture at 1:d) and lie further apart than any tolerance.
- The strength that is taught for covering white and the limit are those of the rules.
- The right value is asked of a true sentence too, or the line would give it away; "none" is right
  there as well, since nothing needs to be put right. A value that repeats the wrong claim is named
  as the slip of the claim, by its own name where the trade page gives it one.
- Of the six slips on offer one is "no slip"; four belong to sentences of other kinds.
"""

from __future__ import annotations

from academy.craft.exercise.families.find_the_error.family import FindTheError
from academy.craft.exercise.families.find_the_error.sentence import Sentence
from academy.craft.exercise.families.find_the_error.slips import Template

__all__ = ["FindTheError", "Sentence", "Template"]
