"""White hair among natural hair: how the mixture looks from where single hairs are not seen.

The light of both is added by area. Averaging L instead would take a quarter of white on black
for depth 3, where the eye sees depth 6.
"""

from __future__ import annotations

from academy.craft.colour.spaces import Lab, lab_from_xyz, xyz_from_lab

WHITE_HAIR = Lab(70.0, 0.5, 11.0)
"""The look of a tress of white hair, declared: a yellowed light grey."""

WHITE_STRAND = Lab(95.0, 0.1, 3.0)
"""One white hair in full light, declared: what a drawing of single strands shows."""


def blended(natural: Lab, white_share: float, white: Lab = WHITE_HAIR) -> Lab:
    """The look of natural hair of which a share (0 to 1) is white; `ValueError` outside."""
    if not 0 <= white_share <= 1:
        raise ValueError(f"A share lies between 0 and 1, not at {white_share:g}.")
    x, y, z = (
        white_share * w + (1 - white_share) * n
        for w, n in zip(xyz_from_lab(white), xyz_from_lab(natural), strict=True)
    )
    return lab_from_xyz((x, y, z))
