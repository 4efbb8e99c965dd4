"""The few words of the trade that every page spells the same way."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

LEVEL_WORDS = {0: _("not shown"), 1: _("weak"), 2: _("nearly"), 3: _("sound"), 4: _("sure")}
OVERALL_WORDS = {
    1: _("clearly not yet"),
    2: _("just below"),
    3: _("borderline"),
    4: _("sound"),
    5: _("very good"),
}
# In the order in which a head is walked round; the keys are those of `academy.craft.head.Zone`.
ZONE_WORDS = {
    "fringe": _("fringe"),
    "top": _("top"),
    "crown": _("crown"),
    "side_left": _("left side"),
    "side_right": _("right side"),
    "occipital": _("occipital"),
    "nape": _("nape"),
}
