"""A plan as the planner shows it: five views, its figures, its foils, and the clock."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import urlencode

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from academy.craft.head.foil_figures import HAIRS_PER_CM2, foil_figures
from academy.craft.head.foils import foil_range
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.svg import VIEW_TITLES, Drawing, view_svgs
from academy.craft.head.svg_corners import corner_layer
from academy.craft.measure import counted, shown
from academy.craft.timing.errors import TimingError
from academy.craft.timing.head_clock import LaidFoil, head_clock
from academy.craft.timing.telling import told, told_foils, told_limit
from academy.curriculum.drawings import HeadView
from academy.curriculum.forms.planner import BAND, FIELDS, Asked, PlannerForm, defaults
from academy.web.numbers import write_figure

if TYPE_CHECKING:
    from academy.craft.head.foils import Plan
    from academy.craft.rules import Decided
    from academy.craft.timing.head_clock import Extension, HeadClock

MM_IN_A_METRE = 1000


class PlanFigure(NamedTuple):
    """One figure of a plan, a row of parts/figures.html."""

    label: str
    figure: str
    unit: str = ""
    css: str = ""


class FoilLine(NamedTuple):
    """One foil as a row: when it goes in is a clock time."""

    number: int
    section: str
    zone: str
    length_mm: int
    stitches: int
    hairs: int
    share: str
    closed: str


class PartingLine(NamedTuple):
    """One parting as a row of the clock."""

    foils: str
    where: str
    first: str
    last: str
    out_by: str


@dataclass(frozen=True)
class Planned:
    """One plan, worked out. `query` is what stands behind `?` so that it comes again."""

    asked: Asked
    query: str

    @property
    def plan(self) -> Plan:
        return self.asked.plan

    @property
    def title(self) -> str:
        """The pattern, with its zone, as a heading."""
        words = PATTERNS[self.plan.pattern].words
        if self.plan.zone:
            words = f"{words}, {self.plan.zone.words}"
        return words[:1].upper() + words[1:]

    @cached_property
    def views(self) -> tuple[HeadView, ...]:
        """The five views with sections, partings and numbered foils."""
        return _views(view_svgs(Drawing(plan=self.plan, labels=False)))

    @property
    def foils(self) -> int:
        return len(self.plan.foils)

    @cached_property
    def expected(self) -> tuple[int, int]:
        """The fewest and the most foils with the spacing 1 mm wider or narrower."""
        laid = self.plan
        return foil_range(
            laid.pattern,
            laid.settings,
            zone=laid.zone,
            head=laid.head,
            hairline=laid.hairline,
            drawn=laid.drawn,
        )

    @cached_property
    def clock(self) -> HeadClock | None:
        """When each foil goes in and comes out; None for a pattern of lines."""
        if not self.plan.foils:
            return None
        foils = [
            LaidFoil(foil.number, foil.parting, foil.section, foil.zone.words)
            for foil in self.plan.foils
        ]
        return head_clock(foils, self.asked.clock)

    @cached_property
    def timeline(self) -> SafeString:
        """The clock as a drawing."""
        from academy.craft.timing.timeline_svg import timeline_svg  # noqa: PLC0415

        return mark_safe(timeline_svg(self.clock)) if self.clock else SafeString()  # noqa: S308

    @property
    def exposures(self) -> list[PlanFigure]:
        """What the first and the last foil have had at the earliest and the latest joint rinse."""
        found = self.clock
        if found is None:
            return []
        lines = [
            PlanFigure(_("Between the first foil and the last"), shown(found.spread, 1), "min")
        ]
        if not found.possible:
            return lines
        for words, had in (
            (_("Earliest joint rinse"), found.at_earliest),
            (_("Latest joint rinse"), found.at_latest),
        ):
            lines += [
                PlanFigure(words, told(had.at)),
                PlanFigure(_("First foil by then"), shown(had.first, 1), "min"),
                PlanFigure(_("Last foil by then"), shown(had.last, 1), "min"),
            ]
        return lines

    @property
    def extension(self) -> Extension | None:
        """What five minutes more would do."""
        return self.clock.extended(self._more) if self.clock else None

    @property
    def _more(self) -> Decimal:
        return self.asked.rules.number("development.lightener_foils.extension")

    @property
    def further_advice(self) -> tuple[str, ...]:
        """What is said after the first sentence, which says whether it fits."""
        return self.clock.advice[1:] if self.clock else ()

    @property
    def partings(self) -> list[PartingLine]:
        """Each parting with foils, on the clock."""
        return [
            PartingLine(
                told_foils(row.numbers),
                row.where,
                told(row.first_closed),
                told(row.last_closed),
                told_limit(row.foils[0].out_by),
            )
            for row in (self.clock.partings if self.clock else ())
        ]

    @cached_property
    def powder(self) -> Decided:
        """Grams of powder a foil, and who decided it."""
        return self.asked.rules.decide(f"powder_per_foil.{self.asked.hair}")

    @cached_property
    def ratio(self) -> Decided:
        """Powder to developer, and who decided it."""
        return self.asked.rules.decide("mixing_ratio.lightener_foils")

    @cached_property
    def figures(self) -> list[PlanFigure]:
        """What the plan comes to."""
        laid = self.plan
        lines = [
            PlanFigure(_("Partings"), str(len(laid.partings))),
            PlanFigure(_("Parting length"), _places(laid.parting_mm / MM_IN_A_METRE, 2), "m"),
            PlanFigure(_("Hair sectioned off"), _places(laid.area_cm2, 0), "cm²"),
            PlanFigure(_("Share of the head sectioned"), _percent(laid.sectioned_share), "%"),
        ]
        if not laid.foils:
            return lines
        low, high = self.expected
        powder = self.powder.number * self.foils
        return [
            PlanFigure(_("Foils drawn"), str(self.foils)),
            PlanFigure(_("Foils to expect"), f"{low} to {high}" if low < high else str(low)),
            *lines,
            *([PlanFigure(_("Stitches"), str(laid.stitches))] if laid.settings.gap_mm else []),
            PlanFigure(_("Woven share of a section"), _percent(laid.settings.weave_share), "%"),
            PlanFigure(_("Share of the head in foils"), _percent(laid.laid_share), "%"),
            PlanFigure(_("Powder"), shown(powder, 0), "g"),
            PlanFigure(_("Developer"), shown(powder * self.ratio.number, 0), "g"),
            PlanFigure(_("Foiling takes"), shown(self.asked.clock.pace * self.foils, 0), "min"),
        ]

    @cached_property
    def rows(self) -> list[FoilLine]:
        """Every foil in laying order."""
        if self.clock is None:
            return []
        times = {row.number: row.closed for row in self.clock.foils}
        sections = {foil.number: foil.section for foil in self.plan.foils}
        return [
            FoilLine(
                row.number,
                sections[row.number],
                row.zone.words,
                round(row.length_mm),
                row.stitches,
                round(row.hairs, -1),
                _places(row.share_of_head * 100, 2),
                told(times[row.number]),
            )
            for row in foil_figures(self.plan, self.powder.number, self.ratio.number)
        ]

    @property
    def columns(self) -> list[list[FoilLine]]:
        """The foils in two halves, for paper."""
        half = -(-len(self.rows) // 2)
        return [rows for rows in (self.rows[:half], self.rows[half:]) if rows]

    @property
    def setting_words(self) -> str:
        """How it is set out, in a line: "section 6 mm, left 6 mm, stitch 4 mm, gap 4 mm"."""
        laid = self.plan.settings
        if not self.foils:
            sizes = [(_("subsection"), laid.depth_mm)]
        else:
            sizes = [(_("section"), laid.depth_mm), (_("left"), laid.left_mm)]
            if laid.gap_mm:
                sizes += [(_("stitch"), laid.stitch_mm), (_("gap"), laid.gap_mm)]
            sizes.append((_("foil"), laid.foil_mm))
        words = [f"{name} {write_figure(size)}\N{NO-BREAK SPACE}mm" for name, size in sizes]
        return ", ".join([*words, self.head_words])

    @property
    def head_words(self) -> str:
        """The head it is laid on: "tape 540 mm, average hairline"."""
        tape = _places(self.plan.head.tape_mm, 0)
        line = self.plan.hairline.words
        return _("tape %(tape)s mm, %(line)s hairline") % {"tape": tape, "line": line}

    def beside(self, other: Planned) -> str:
        """The address of a page on which this plan is changed and another stands beside it."""
        return f"?{self.query}&{urlencode({'beside': other.query})}"

    @property
    def set_beside(self) -> str:
        """The same with a copy of this plan."""
        return self.beside(self)

    @property
    def hairs_words(self) -> str:
        """What the hairs of a foil are counted by."""
        return _("Hairs are counted at %(count)s on a square centimetre, a declared middle.") % {
            "count": f"{HAIRS_PER_CM2:g}"
        }

    @property
    def spoken(self) -> str:
        """One sentence for who listens while figures change."""
        if not self.foils:
            return f"{self.title}: {counted(len(self.plan.partings), 'parting')}."
        low, high = self.expected
        return f"{self.title}: {counted(self.foils, 'foil')}, {low} to {high} to expect."


def sketched(form: PlannerForm, last: Planned | None) -> tuple[HeadView, ...]:
    """An own pattern while it is drawn: its corners, over the last plan of it that could be."""
    corners = form.cleaned_data.get("corners") or ()
    laid = last.plan if last and last.plan.drawn else None
    svgs = view_svgs(Drawing(plan=laid, labels=laid is None))
    closed = form.cleaned_data.get("shape") != BAND
    return _views(
        {
            name: f"{svg.removesuffix('</svg>')}{corner_layer(name, corners, closed=closed)}</svg>"
            for name, svg in svgs.items()
        }
    )


def _views(svgs: dict[str, str]) -> tuple[HeadView, ...]:
    # Our own drawing code escapes what it prints; no text of a person reaches it here.
    return tuple(HeadView(VIEW_TITLES[name], mark_safe(svg)) for name, svg in svgs.items())  # noqa: S308


def planned(form: PlannerForm) -> Planned | None:
    """What a form asks for; None with the reason among its errors."""
    asked = form.asked()
    if asked is None:
        return None
    made = Planned(asked, query_of(form))
    try:
        made.clock  # noqa: B018  (its figures may not fit together)
    except TimingError as refused:
        form.add_error("pace", str(refused))
        return None
    return made


def query_of(form: PlannerForm) -> str:
    """The address of a plan: its pattern, and what differs from the standing figures."""
    standing = defaults(form.house)
    pairs = [(name, str(form.data.get(name, "")).strip()) for name in FIELDS]
    return urlencode(
        [
            (name, text)
            for name, text in pairs
            if text and (text != standing.get(name) or name == "pattern")
        ]
    )


def differences(one: Planned, other: Planned) -> list[tuple[str, str, str]]:
    """Label, figure of one, figure of the other: of all figures that either has."""
    here = {row.label: _with_unit(row) for row in one.figures}
    there = {row.label: _with_unit(row) for row in other.figures}
    return [(label, here.get(label, "–"), there.get(label, "–")) for label in {**here, **there}]


def _with_unit(row: PlanFigure) -> str:
    return f"{row.figure}\N{NO-BREAK SPACE}{row.unit}" if row.unit else row.figure


def _percent(share: float) -> str:
    return _places(share * 100, 0)


def _places(value: float, places: int) -> str:
    """Half up, as every figure that people see."""
    step = Decimal(1).scaleb(-places)
    return write_figure(Decimal(str(round(value, 6))).quantize(step, ROUND_HALF_UP))
