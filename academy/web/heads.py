"""A drawn head as pages show it: views, layers to switch, and the same facts as tables.

`head_sheet(drawing)` gives all that `parts/head_sheet.html` asks for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from academy.craft.head.svg import VIEW_TITLES, VIEWS, Drawing, layers_of, view_svgs
from academy.craft.head.svg_rows import foil_rows, zone_rows
from academy.craft.head.svg_words import numbers_drawn, percent, ranges
from academy.web.numbers import NBSP
from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from django.utils.functional import Promise

    from academy.craft.head.foils import Plan
    from academy.craft.head.svg_rows import ZoneRow

FOLDED_FROM = 8  # a longer table of foils is folded until somebody opens it
LAYER_WORDS = {
    "zones": _("Zones"),
    "partings": _("Partings"),
    "foils": _("Foils"),
    "marks": _("Faults"),
    "heat": _("Marks lost"),
}


class HeadView(NamedTuple):
    """One drawn view: its title and its svg, safe markup of our own."""

    title: str
    svg: SafeString


class Layer(NamedTuple):
    """A switch over a drawing; `on` as it stands at first."""

    key: str
    word: str | Promise
    on: bool


class Column(NamedTuple):
    """A column; `say` is how a cell sounds in the sentence about a chosen row."""

    title: str | Promise
    say: str | Promise = "{}"
    figure: bool = False


class Row(NamedTuple):
    """The key of a zone or the number of a foil, its word, and a cell for every further column.

    An empty cell is printed as a dash and left out of the sentence.
    """

    key: str
    word: str
    cells: Sequence[str]


@dataclass(frozen=True)
class HeadTable:
    """The facts of a drawing; a press on a row shows the zone or the foil in the drawing."""

    kind: str  # "zone" | "foil"
    title: str | Promise
    columns: Sequence[Column]
    rows: Sequence[Row]
    note: str = ""
    folded: bool = False

    @property
    def lines(self) -> list[tuple[str, str, list[tuple[str, bool]]]]:
        """Key, word, and each cell with whether it is a figure."""
        figures = [column.figure for column in self.columns[1:]]
        return [
            (row.key, row.word, list(zip(row.cells, figures, strict=True))) for row in self.rows
        ]


@dataclass(frozen=True)
class HeadSheet:
    """What a head sheet on a page needs."""

    views: tuple[HeadView, ...] = ()
    layers: tuple[Layer, ...] = ()
    tables: tuple[HeadTable, ...] = ()


def head_sheet(drawing: Drawing, *tables: HeadTable, state: str | Promise = "") -> HeadSheet:
    """A drawing with its switches and tables: those given, or what it shows of zones and foils.

    `state` heads the column of the zones' states and values.
    """
    found = tables or tuple(_tables(drawing, state))
    return HeadSheet(head_views(drawing), _layers(drawing), found)


def head_views(drawing: Drawing, views: Sequence[str] = VIEWS) -> tuple[HeadView, ...]:
    """The views of a drawing with their titles."""
    svgs = view_svgs(drawing, views)
    # Our own drawing code escapes what it prints.
    return tuple(HeadView(VIEW_TITLES[name], mark_safe(svg)) for name, svg in svgs.items())  # noqa: S308


def zone_title(key: Any) -> str:
    """A zone's word as the first of a row: "Left side"."""
    word = str(ZONE_WORDS[str(getattr(key, "value", key))])
    return word[:1].upper() + word[1:]


def in_percent(share: float) -> str:
    """A share 0..1 as every drawing prints it: "23 %"."""
    return f"{percent(share)}{NBSP}%"


def _layers(drawing: Drawing) -> tuple[Layer, ...]:
    """The switches; none where there is nothing to choose between."""
    found = layers_of(drawing)
    if len(found) < 2:
        return ()
    under_foils = "foils" in found
    return tuple(
        Layer(key, LAYER_WORDS[key], key != "partings" or not under_foils) for key in found
    )


def _tables(drawing: Drawing, state: str | Promise) -> Iterable[HeadTable]:
    yield zone_table(zone_rows(drawing), state)
    if drawing.plan and drawing.plan.foils:
        yield foil_table(drawing.plan)


def zone_table(rows: Sequence[ZoneRow], state: str | Promise = "") -> HeadTable:
    """Zones with their share of the hair and what is on them; columns without a fact are left out.

    `state` heads the column of states and values.
    """
    shown: list[tuple[Column, list[str]]] = [
        (
            Column(_("Share of hair"), _("{} of the hair"), figure=True),
            [in_percent(row.share) for row in rows],
        )
    ]
    told = [", ".join(part for part in (row.value, row.state) if part) for row in rows]
    if any(told):
        shown.append((Column(state or _("State")), told))
    if any(row.lost is not None for row in rows):
        lost = ["" if row.lost is None else in_percent(row.lost) for row in rows]
        shown.append((Column(_("Marks lost"), _("{} of marks lost"), figure=True), lost))
    if any(row.marks for row in rows):
        marks = [_numbers(row.marks) for row in rows]
        shown.append((Column(_("Faults"), _("faults {}")), marks))
    if any(row.foils for row in rows):
        foils = [ranges(row.foils) for row in rows]
        shown.append((Column(_("Foils"), _("foils {}")), foils))
    return HeadTable(
        "zone",
        _("Zones"),
        (Column(_("Zone")), *(column for column, _cells in shown)),
        [
            Row(row.zone.value, zone_title(row.zone), [cells[n] for _c, cells in shown])
            for n, row in enumerate(rows)
        ],
    )


def foil_table(
    plan: Plan, further: Sequence[tuple[Column, Sequence[str]]] = (), *, note: str = ""
) -> HeadTable:
    """Every foil of a plan in laying order.

    `further` columns, each with a cell for every foil, stand in place of the foils beside it.
    """
    foils = foil_rows(plan)
    shown: list[tuple[Column, Sequence[str]]] = [
        (Column(_("Section")), [row.section for row in foils]),
        (Column(_("Zone")), [str(ZONE_WORDS[row.zone.value]) for row in foils]),
        (Column(_("Length"), figure=True), [f"{row.length_mm:.0f}{NBSP}mm" for row in foils]),
    ]
    if plan.settings.gap_mm:
        stitches = Column(_("Stitches"), _("{} stitches"), figure=True)
        shown.append((stitches, [str(row.stitches) for row in foils]))
    beside = (Column(_("Beside"), _("beside {}")), [_numbers(row.beside) for row in foils])
    shown += further or [beside]
    return HeadTable(
        "foil",
        format_lazy(_("All {count} foils"), count=len(foils)),
        (Column(_("Foil"), _("Foil {}")), *(column for column, _cells in shown)),
        [
            Row(str(row.number), str(row.number), [cells[n] for _column, cells in shown])
            for n, row in enumerate(foils)
        ],
        f"{numbers_drawn(plan)} {note}".strip(),
        len(foils) > FOLDED_FROM,
    )


def _numbers(numbers: Iterable[int]) -> str:
    return ", ".join(str(number) for number in numbers)
