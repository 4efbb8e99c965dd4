"""Reading and writing figures as people do: comma or point in, real minus and small gaps out."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal

NBSP = "\u00a0"
GAP = "\u202f"  # narrow, never broken: between groups of three digits
MINUS = "\u2212"

_FIGURE = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)")
_GROUPS = re.compile(r"(?<=\d)[ \u00a0\u202f\u2009'](?=\d{3}(\D|$))")


class Unreadable(ValueError):  # noqa: N818  (it is an answer, not a fault of the program)
    """Why a text is not one figure; `reason` is "empty", "marks" or "text"."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


def read_figure(text: str) -> tuple[Decimal, str]:
    """A figure and what was written behind it: "1,5 g" gives (1.5, "g").

    Comma and point both part the decimals; a space may part thousands ("1 240"). Two marks
    ("1.240,5", "1,2,3") are refused, for nobody can tell which one parts the decimals.
    """
    text = _GROUPS.sub("", text.strip().replace(MINUS, "-").replace("\u2013", "-"))
    if not text:
        raise Unreadable("empty")
    found = _FIGURE.match(text)
    if found is None:
        raise Unreadable("text")
    rest = text[found.end() :].strip()
    if rest.startswith((".", ",")):
        raise Unreadable("marks")
    if re.search(r"\d", rest):
        raise Unreadable("text")
    return Decimal(found.group().replace(",", ".")), rest


def write_figure(value: Decimal | float, places: int | None = None) -> str:
    """A figure for a page: no empty decimals, gaps from five digits on, a real minus.

    `places` fixes the number of decimals; halves are rounded up, away from nought.
    """
    number = value if isinstance(value, Decimal) else Decimal(str(value))
    if places is None:
        text = f"{number:f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{number.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"
    whole, point, part = text.removeprefix("-").partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", GAP)
    sign = MINUS if text.startswith("-") and text.strip("-0.") else ""
    return f"{sign}{whole}{point}{part}"
