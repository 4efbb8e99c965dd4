"""A plan as the planner shows it: five views, its figures and its foils."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from academy.craft.head.foil_figures import HAIRS_PER_CM2, foil_figures
from academy.craft.head.foils import foil_range
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.svg import Drawing
from academy.craft.head.svg_rows import zone_rows
from academy.craft.measure import counted, shown
from academy.craft.timing.head_clock import LaidFoil, head_clock
from academy.craft.timing.telling import told
from academy.curriculum.plan_figures import Figure, in_percent, plan_figures, rounded
from academy.curriculum.planner.clock import PlannedClock
from academy.web.heads import Column, HeadSheet, HeadTable, foil_table, head_sheet, zone_table
from academy.web.numbers import NBSP, write_figure

if TYPE_CHECKING:
    from academy.craft.head.foils import Plan
    from academy.craft.rules import Decided
    from academy.curriculum.planner.asking import Asked


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
    def head(self) -> HeadSheet:
        """The five views with sections, partings and numbered foils; zones and foils as tables."""
        drawing = Drawing(plan=self.plan, labels=False)
        if not self.foils:
            return head_sheet(drawing)
        return head_sheet(drawing, zone_table(zone_rows(drawing)), self._foil_table)

    @property
    def _foil_table(self) -> HeadTable:
        further = [
            (
                Column(_("Hairs"), _("about {} hairs"), figure=True),
                [str(row.hairs) for row in self.rows],
            ),
            (
                Column(_("Of all hair"), _("{} of all hair"), figure=True),
                [f"{row.share}{NBSP}%" for row in self.rows],
            ),
            (
                Column(_("Closed at"), _("closed at {}"), figure=True),
                [row.closed for row in self.rows],
            ),
        ]
        return foil_table(self.plan, further, note=self.hairs_words)

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
    def clock(self) -> PlannedClock | None:
        """When each foil goes in and comes out; None for a pattern of lines."""
        if not self.plan.foils:
            return None
        foils = [
            LaidFoil(foil.number, foil.parting, foil.section, foil.zone.words)
            for foil in self.plan.foils
        ]
        more = self.asked.rules.number("development.lightener_foils.extension")
        return PlannedClock(head_clock(foils, self.asked.clock), more)

    @cached_property
    def powder(self) -> Decided:
        """Grams of powder a foil, and who decided it."""
        return self.asked.rules.decide(f"powder_per_foil.{self.asked.hair}")

    @cached_property
    def ratio(self) -> Decided:
        """Powder to developer, and who decided it."""
        return self.asked.rules.decide("mixing_ratio.lightener_foils")

    @cached_property
    def figures(self) -> list[Figure]:
        """What the plan comes to."""
        laid = self.plan
        lines = [
            *plan_figures(laid, self.expected),
            Figure(_("Hair sectioned off"), rounded(laid.area_cm2, 0), "cm²"),
        ]
        if not laid.foils:
            return lines
        powder = self.powder.number * self.foils
        return [
            *lines,
            Figure(_("Woven share of a section"), in_percent(laid.settings.weave_share), "%"),
            Figure(_("Powder"), shown(powder, 0), "g"),
            Figure(_("Developer"), shown(powder * self.ratio.number, 0), "g"),
            Figure(_("Foiling takes"), shown(self.asked.clock.pace * self.foils, 0), "min"),
        ]

    @cached_property
    def rows(self) -> list[FoilLine]:
        """Every foil in laying order."""
        if self.clock is None:
            return []
        times = {row.number: row.closed for row in self.clock.times.foils}
        sections = {foil.number: foil.section for foil in self.plan.foils}
        return [
            FoilLine(
                row.number,
                sections[row.number],
                row.zone.words,
                round(row.length_mm),
                row.stitches,
                int(round(row.hairs, -1)),
                rounded(row.share_of_head * 100, 2),
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
        tape = rounded(self.plan.head.tape_mm, 0)
        line = self.plan.hairline.words
        return _("tape %(tape)s mm, %(line)s") % {"tape": tape, "line": line}

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
