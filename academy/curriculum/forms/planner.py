"""What is typed into the planner: a pattern on a head, how foils are set, and the clock."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.head.drawn import BAND_MM, Direction, DrawnSection
from academy.craft.head.foils import plan
from academy.craft.head.sectioning import (
    DEPTH_MM,
    FOIL_MM,
    GAP_MM,
    LEFT_MM,
    PATTERNS,
    STITCH_MM,
    FoilSettings,
)
from academy.craft.head.shape import HEAD_WORDS, HEADS, Head, HeadError
from academy.craft.head.sheet import Place
from academy.craft.head.zones import HAIRLINES, Zone
from academy.craft.measure import shown
from academy.craft.timing.errors import TimingError
from academy.craft.timing.head_clock import ClockSettings, RootColour
from academy.curriculum.house import label_of, rules_today
from academy.curriculum.models import ProductLabel
from academy.web.forms import BlockworkForm, TimeField, UnitField
from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from django.http import QueryDict
    from django_stubs_ext import StrOrPromise

    from academy.craft.head.foils import Plan
    from academy.craft.rules import Rules
    from academy.curriculum.corner_text import Corners
    from academy.people.models import Academy

CUSTOM, ONE_PANEL = "custom", "one_panel"
POLYGON, BAND = "polygon", "band"
LOW, HIGH = "low", "high"
NO, YES = "no", "yes"
TAPE, LENGTHS = "tape", "lengths"
LONGEST_CORNERS = 1200
MINUTES_IN_AN_HOUR = 60

_CORNER = re.compile(r"([-+]?\d{1,3}(?:[.,]\d+)?)[\s;]+([-+]?\d{1,3}(?:[.,]\d+)?)")


_WAYS = {
    "up": _("Up"),
    "down": _("Down"),
    "left": _("Left"),
    "right": _("Right"),
    "earlier": _("Earlier"),
    "out": _("Take out"),
}


@dataclass(frozen=True)
class Asked:
    """A whole plan as it was asked for, and the rules that hold for it."""

    plan: Plan
    rules: Rules
    clock: ClockSettings
    hair: str


class CornerRow(NamedTuple):
    """One corner of an own pattern in the list beside the head."""

    number: int
    where: StrOrPromise

    @property
    def ways(self) -> list[tuple[str, StrOrPromise]]:
        """What can be done to it: the deed and its word."""
        return [(way, word) for way, word in _WAYS.items() if self.number > 1 or way != "earlier"]


def sized(limits: tuple[float, float], label: Any, example: str, **options: Any) -> UnitField:
    """A size in millimetres within the limits of the head's computing."""
    low, high = (Decimal(f"{limit:g}") for limit in limits)
    return UnitField(
        "mm", label=label, min_value=low, max_value=high, places=1, example=example, **options
    )


def minutes(label: Any, least: int, most: int, **options: Any) -> UnitField:
    """A length of time."""
    return UnitField(
        "min", label=label, min_value=least, max_value=most, places=1, example="12 min", **options
    )


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
        label=_("Gap between stitches"),
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

    def __init__(self, asked: QueryDict | None, *, academy: Academy) -> None:
        self.academy = academy
        self.house = rules_today(academy)
        self.rules = self.house  # with the label of the product, once one was chosen
        given = defaults(self.house)
        sent = {} if asked is None else {name: asked[name] for name in asked if name in FIELDS}
        super().__init__({**given, **sent})
        labels = ProductLabel.objects.filter(academy=academy).order_by("name")
        self.fields["label"].queryset = labels  # type: ignore[attr-defined]

    def clean_corners(self) -> Corners:
        """Places as degrees round and up."""
        lines = (line.strip() for line in self.cleaned_data["corners"].splitlines())
        return tuple(_corner(line) for line in lines if line)

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
                at = Place.at(*_corner(line))
            except forms.ValidationError:
                rows.append(CornerRow(number, line))
            else:
                rows.append(CornerRow(number, at.zone.words if at.zone else _("bare skin")))
        return rows

    def _need(self, name: str, sentence: Any) -> None:
        if self.cleaned_data.get(name) is None:
            self.add_error(name, sentence)

    def asked(self) -> Asked | None:
        """The plan, worked out; None with the reason among the errors where it cannot be."""
        if not self.is_valid():
            return None
        data = self.cleaned_data
        if data["label"]:
            self.rules = self.house.with_label(label_of(data["label"]))
        for field, make in (
            ("tape" if data["head"] == TAPE else "length", self._head),
            ("gap", self._settings),
            ("corners", self._drawn),
        ):
            try:
                data[f"made_{field}"] = make()
            except HeadError as refused:
                self.add_error(field, str(refused))
        clock = self._clock()
        if self.errors or clock is None:
            return None
        made_head = data["made_tape" if data["head"] == TAPE else "made_length"]
        try:
            laid = plan(
                data["pattern"],
                data["made_gap"],
                zone=Zone(data["zone"]) if data["pattern"] == ONE_PANEL and data["zone"] else None,
                head=made_head,
                hairline=HAIRLINES[data["hairline"]],
                drawn=data["made_corners"],
            )
        except HeadError as refused:
            self.add_error("corners" if data["pattern"] == CUSTOM else "pattern", str(refused))
            return None
        return Asked(laid, self.rules, clock, data["hair"])

    def _head(self) -> Head:
        data = self.cleaned_data
        if data["head"] == TAPE:
            return Head.of_tape(float(data["tape"]))
        if data["head"] == LENGTHS:
            return Head.of_lengths(float(data["length"]), float(data["breadth"]))
        return HEADS[data["head"]]

    def _settings(self) -> FoilSettings:
        data = self.cleaned_data
        lines_only = not PATTERNS[data["pattern"]].foils
        return FoilSettings(
            depth_mm=float(data["depth"]),
            left_mm=0.0 if lines_only else float(data["left"]),
            stitch_mm=float(data["stitch"]),
            gap_mm=float(data["gap"]),
            foil_mm=float(data["foil"]),
        )

    def _drawn(self) -> DrawnSection | None:
        data = self.cleaned_data
        if data["pattern"] != CUSTOM:
            return None
        return DrawnSection(
            corners=data["corners"],
            band_mm=float(data["band"]) if data["shape"] == BAND else None,
            direction=Direction(data["direction"]),
            from_high=data["begin"] == HIGH,
        )

    def _clock(self) -> ClockSettings | None:
        """The clock's figures, no ceiling above what holds in the academy or on the label."""
        data = self.cleaned_data
        for name, key in (
            ("ceiling", "development.lightener_foils.ceiling"),
            ("root_ceiling", "development.permanent_white_normal.ceiling"),
        ):
            most = self.rules.decide(key)
            if data[name] > most.number:
                self.add_error(
                    name,
                    _("%(minutes)s min is above the ceiling: %(rule)s")
                    % {"minutes": shown(data[name], 1), "rule": most.sentence},
                )
        if self.errors:
            return None
        starts = data["starts"]
        roots = None
        if data["roots"] == YES:
            roots = RootColour(
                application=data["application"],
                minutes=data["develop"],
                ceiling=data["root_ceiling"],
            )
        try:
            return ClockSettings(
                starts_at=Decimal(starts.hour * MINUTES_IN_AN_HOUR + starts.minute),
                pace=data["pace"],
                foil_check_after=data["check"],
                foil_least=data["least"],
                foil_ceiling_after=data["ceiling"],
                change_over=data["change"] if roots else Decimal(0),
                roots=roots,
            )
        except TimingError as refused:
            self.add_error(self._untimed(), str(refused))
            return None

    def _untimed(self) -> str:
        """The field whose figure no clock can hold."""
        data = self.cleaned_data
        for name, most in (("least", "ceiling"), ("check", "ceiling"), ("develop", "root_ceiling")):
            if data[name] > data[most]:
                return name
        return "pace"


FIELDS = tuple(PlannerForm.base_fields)


def defaults(rules: Rules) -> dict[str, str]:
    """A half head as the house rules set it: what stands in the boxes at first."""

    def of(key: str) -> str:
        return shown(rules.number(key), 1)

    return {
        "pattern": "half_head",
        "zone": Zone.CROWN.value,
        "head": "training",
        "hairline": "average",
        "depth": of("subsection.foil_depth"),
        "left": of("left_between"),
        "stitch": of("weave.medium.stitch"),
        "gap": of("weave.medium.gap"),
        "foil": "100",
        "hair": "medium",
        "shape": POLYGON,
        "band": "30",
        "direction": Direction.EAR_TO_EAR.value,
        "begin": HIGH,
        "starts": "10:00",
        "pace": "2",
        "check": of("development.lightener_foils.first_check"),
        "least": of("two_process.foil_least"),
        "ceiling": of("development.lightener_foils.ceiling"),
        "roots": NO,
        "application": "20",
        "develop": of("development.permanent_white_normal.minutes"),
        "root_ceiling": of("development.permanent_white_normal.ceiling"),
        "change": of("two_process.change_over"),
    }


def _corner(line: str) -> tuple[float, float]:
    found = _CORNER.fullmatch(line.replace("\N{MINUS SIGN}", "-"))
    if found is None:
        raise forms.ValidationError(
            _("“%(line)s” is no place. Give two figures, degrees round and degrees up: 30 62."),
            params={"line": line[:40]},
        )
    round_, up = (float(figure.replace(",", ".")) for figure in found.groups())
    return round_, up
