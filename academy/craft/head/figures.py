"""The sheet's head in figures, for scripts that find places on it without asking the site."""

from __future__ import annotations

from functools import lru_cache

from academy.craft.head.shape import EGG, HORIZONTAL_EXPONENT, VERTICAL_EXPONENT
from academy.craft.head.sheet import SHEET_HEAD, view_of


@lru_cache(maxsize=1)
def head_figures() -> str:
    """Semi-axes in mm (x at y = 0, y, z up, z down), egg and exponents, parted by spaces."""
    head = SHEET_HEAD
    figures = (
        head.side_axis,
        head.half_length,
        head.top_z,
        head.lower_axis,
        EGG,
        HORIZONTAL_EXPONENT,
        VERTICAL_EXPONENT,
    )
    return " ".join(f"{n:.9g}" for n in figures)


def view_axes(view: str) -> str:
    """Right, up and toward of a view, nine numbers; HeadError for a view that does not exist."""
    axes = view_of(view)
    return " ".join(f"{n:g}" for n in (*axes.right, *axes.up, *axes.toward))
