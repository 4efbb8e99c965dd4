"""A point on the head as it is answered: put on a view by a tap, or typed as its two angles."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from academy.craft.head.sheet import SHEET_HEAD, VIEWS, Place, locate
from academy.craft.measure import Reading, Spot, shown

_MM = r"(-?\d{1,4}(?:\.\d{1,4})?)"
_TAP = re.compile(rf"({'|'.join(VIEWS)}) {_MM} {_MM}")
# A comma alone is a decimal mark, with a space behind it it parts the two.
_ANGLES = re.compile(
    r"(-?\d{1,3}(?:[.,]\d{1,4})?)(?:° round)?(?:[,;] | ?; ?| )(-?\d{1,2}(?:[.,]\d{1,4})?)(?:° up)?"
)
_FORM = (
    "Tap the place on the head, move the point with the arrow keys, or type the degrees round "
    "and up, for example 135 40."
)
_TENTH = Decimal("0.1")
_APEX = 90


def spot_at(azimuth: Decimal | float, elevation: Decimal | float) -> Spot:
    """The point at these angles in degrees, on the head of the sheet, to a tenth of a mm."""
    at = Place.at(float(azimuth), float(elevation))
    x, y, z = (
        Decimal(str(round(mm, 4))).quantize(_TENTH)
        for mm in SHEET_HEAD.surface(at.azimuth_deg, at.elevation_deg).tolist()
    )
    return Spot(Decimal(str(at.azimuth_deg)), Decimal(str(at.elevation_deg)), (x, y, z))


@lru_cache(maxsize=4096)
def read_spot(text: str) -> Reading:
    """A tap "top 12.5 -30" (view, mm to the right and up) or angles "-12.5 60" in degrees.

    Angles are also read as a solution prints them, "38° round, 36° up".

    Never raises; a point beside the head is refused with a sentence.
    """
    plain = " ".join(text.replace("\u2212", "-").split()).casefold()
    if not plain:
        return Reading(text, None, "Nothing placed yet.")
    if tapped := _TAP.fullmatch(plain):
        place = locate(tapped[1], float(tapped[2]), float(tapped[3]))
        if place is None:
            return Reading(text, None, f"That is beside the head. {_FORM}")
        spot = spot_at(place.azimuth_deg, place.elevation_deg)
    elif angles := _ANGLES.fullmatch(plain):
        azimuth, elevation = (Decimal(angle.replace(",", ".")) for angle in angles.groups())
        if abs(azimuth) > 180 or abs(elevation) > 90:
            return Reading(text, None, f"There is no such place on a head. {_FORM}")
        spot = spot_at(azimuth, elevation)
    else:
        return Reading(text, None, _FORM)
    return Reading(text, spot, f"Placed on the {spot_shown(spot)}")


@lru_cache(maxsize=4096)
def spot_shown(spot: Spot) -> str:
    """The zone and the side a point lies in: "crown, 12 mm to the left"."""
    where = _where(float(spot.azimuth), float(spot.elevation))
    across = spot.at_mm[0]
    if abs(across) < 1:
        return f"{where}, on the centre line"
    side = "left" if across > 0 else "right"
    return f"{where}, {shown(abs(across), 0)} mm to the {side}"


def _where(azimuth: float, elevation: float) -> str:
    """The zone; on bare skin the one that begins above it, since front and nape are both skin."""
    above = elevation
    while above <= _APEX:
        zone = Place.at(azimuth, above).zone
        if zone is not None:
            return zone.words if above == elevation else f"skin below the {zone.words}"
        above += 1
    raise ValueError(f"There is no hair above {azimuth}° round, {elevation}° up.")
