"""By eye: the corners of a section pattern, placed on the head sheet.

Decisions where the trade page leaves room:

- Corners come from the borders that the foils are laid by (``head.corners``), on the head of the
  sheet; answers are scored by their straight distance on that head, in mm.
- Level first asks two corners of one pattern, with the zones' borders drawn and each corner told in
  words. Level working asks three without borders. Level exam asks two of the quarters and two of
  a second pattern.
- A corner that only a tape finds (of the diamond, of the T's strip) comes with its measure at
  every level: schools set these patterns differently, and the eye is asked, not the memory.
- ``other-side`` is the same corner on the other side of the head, ``other-end`` the corner at the
  other end of the pattern; ``on-the-hairline`` and ``at-the-ridge`` are the two ways to make a
  diamond too large.
"""

from __future__ import annotations

from academy.craft.exercise.families.eye_corners.family import EyeCorners, Placing

__all__ = ["EyeCorners", "Placing"]
