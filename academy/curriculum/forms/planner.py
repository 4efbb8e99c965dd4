"""What is typed into the planner: a pattern on a head, how foils are set, and the clock."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.head.drawn import BAND_MM, Direction
from academy.craft.head.sectioning import (
    DEPTH_MM,
    FOIL_MM,
    GAP_MM,
    LEFT_MM,
    PATTERNS,
    STITCH_MM,
)
from academy.craft.head.shape import HEAD_WORDS
from academy.craft.head.sheet import Place
from academy.craft.head.zones import HAIRLINES
from academy.curriculum.forms.planner_fields import (
    BAND,
    HIGH,
    LOW,
    NO,
    POLYGON,
    ROOT_COLOURS,
    YES,
    CornerRow,
    corner,
    defaults,
    minutes,
    sized,
)
from academy.curriculum.models import ProductLabel
from academy.web.forms import BlockworkForm, TimeField, UnitField
from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from django.http import QueryDict

    from academy.craft.rules import Rules
    from academy.curriculum.planner.corners import Corners
    from academy.people.models import Academy

CUSTOM, ONE_PANEL = "custom", "one_panel"
TAPE, LENGTHS = "tape", "lengths"
LONGEST_CORNERS = 1200
MINUTES_IN_AN_HOUR = 60


class PlannerForm(BlockworkForm):
    """A plan. Everything stands in the address and holds nothing personal.

    What the address leaves out is taken from `initial`, so that a link may name a pattern alone.
    """

    deed = _("can be drawn")

    pattern = forms.ChoiceField(
        label=_("Pattern"), choices=[(key, found.words) for key, found in PATTERNS.items()]
    )
    zone = forms.ChoiceField(
        label=_("Zone of the panel"), choices=list(ZONE_WORDS.items()), required=False
    )
    head = forms.ChoiceField(
        label=_("Head"),
        choices=[
            *HEAD_WORDS.items(),
            (TAPE, _("by its tape measure")),
            (LENGTHS, _("by length and breadth")),
        ],
    )
    tape = UnitField("mm", label=_("Tape round the head"), required=False, example="555 mm")
    length = UnitField("mm", label=_("Head length"), required=False, example="186 mm")
    breadth = UnitField("mm", label=_("Head breadth"), required=False, example="144 mm")
    hairline = forms.ChoiceField(
        label=_("Hairline"), choices=[(key, line.words) for key, line in HAIRLINES.items()]
    )
    depth = sized(DEPTH_MM, _("Section in the foil"), "5 mm")
    left = sized(LEFT_MM, _("Hair left between"), "8 mm")
    stitch = sized(STITCH_MM, _("Stitch"), "3 mm")
    gap = UnitField(
        "mm",
        label=_("Gap"),
        min_value=0,
        max_value=Decimal(f"{GAP_MM[1]:g}"),
        places=1,
        example="3 mm",
        help_text=_("0 takes whole slices"),
    )
    foil = sized(FOIL_MM, _("Foil width"), "120 mm")
    hair = forms.ChoiceField(
        label=_("Hair"),
        choices=[("short", _("short")), ("medium", _("medium")), ("long", _("long"))],
        help_text=_("For the powder a foil takes"),
    )

    shape = forms.ChoiceField(
        label=_("Drawn as"),
        choices=[(POLYGON, _("an area with corners")), (BAND, _("a band along a line"))],
    )
    corners = forms.CharField(
        label=_("Corners, one a line"),
        required=False,
        max_length=LONGEST_CORNERS,
        widget=forms.Textarea(attrs={"rows": 5, "autocomplete": "off", "spellcheck": "false"}),
        help_text=_("Degrees round from the front and up, for example 30 62"),
    )
    band = sized(BAND_MM, _("Width of the band"), "25 mm", required=False)
    direction = forms.ChoiceField(
        label=_("Partings run"),
        choices=[(one.value, one.words) for one in Direction],
    )
    begin = forms.ChoiceField(
        label=_("First foil"),
        choices=[
            (LOW, _("at the bottom, front or right")),
            (HIGH, _("at the top, back or left")),
        ],
    )

    starts = TimeField(label=_("Start"))
    pace = minutes(_("Pace, a foil"), 0, 15)
    check = minutes(_("First look at the foils after"), 1, 60)
    least = minutes(_("Each foil stays in at least"), 1, 60)
    ceiling = minutes(_("No foil stays in longer than"), 1, 90)
    roots = forms.ChoiceField(
        label=_("Root colour before the foils"), choices=[(NO, _("no")), (YES, _("yes"))]
    )
    colour = forms.ChoiceField(label=_("Kind of root colour"), choices=list(ROOT_COLOURS.items()))
    application = minutes(_("Putting the root colour on takes"), 1, 120)
    develop = minutes(_("It develops for"), 1, 60)
    root_ceiling = minutes(_("It stays on no longer than"), 1, 90)
    change = minutes(_("Change of gloves and comb"), 0, 30)
    label = forms.ModelChoiceField(
        label=_("Product label"),
        queryset=ProductLabel.objects.none(),
        to_field_name="token",
        required=False,
        empty_label=_("None"),
    )

    def __init__(self, asked: QueryDict | None, *, academy: Academy, house: Rules) -> None:
        self.house = house
        sent = {} if asked is None else {name: asked[name] for name in asked if name in FIELDS}
        self.standing = defaults(house, str(sent.get("colour", "")))
        super().__init__({**self.standing, **sent})
        labels = ProductLabel.objects.filter(academy=academy).order_by("name")
        self.fields["label"].queryset = labels  # type: ignore[attr-defined]

    def clean_corners(self) -> Corners:
        """Places as degrees round and up."""
        lines = (line.strip() for line in self.cleaned_data["corners"].splitlines())
        return tuple(corner(line) for line in lines if line)

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if data.get("pattern") == CUSTOM and data.get("shape") == BAND and "band" in data:
            self._need("band", _("Give the width of the band, for example 25 mm."))
        if data.get("head") == TAPE and "tape" in data:
            self._need("tape", _("Give the tape round the head, for example 555 mm."))
        if data.get("head") == LENGTHS:
            for name in ("length", "breadth"):
                if name in data:
                    self._need(name, _("Give it in millimetres, for example 186 mm."))
        return data

    @property
    def corner_rows(self) -> list[CornerRow]:
        """The corners as they stand in the box, with where each lies."""
        rows = []
        lines = str(self.data.get("corners", "")).splitlines()
        for number, line in enumerate((line.strip() for line in lines if line.strip()), 1):
            try:
                at = Place.at(*corner(line))
            except forms.ValidationError:
                rows.append(CornerRow(number, line))
            else:
                rows.append(CornerRow(number, at.zone.words if at.zone else _("bare skin")))
        return rows

    def _need(self, name: str, sentence: Any) -> None:
        if self.cleaned_data.get(name) is None:
            self.add_error(name, sentence)


FIELDS = tuple(PlannerForm.base_fields)
