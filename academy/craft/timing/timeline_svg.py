"""The clock of a head as one drawing: a row for the roots, one for each parting, and the rinse.

Classes only (``tl-…``), no colours: ``static/css/timeline.css`` brings the inks. Meaning lies in
shape and words, never in colour alone: application is hatched, the least time filled, a look a
ring, a ceiling a bar across the row. Names of what happens stand in steps above the rows, the
latest on top, each with a line down to the row that it belongs to.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING

from academy.craft.measure import clock as clock_time, shown
from academy.craft.timing import timeline_marks as mark
from academy.craft.timing.telling import told, told_between, told_limit
from academy.craft.timing.timeline_legend import HIGH as LEGEND_HIGH, legend

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from academy.craft.timing.head_clock import HeadClock
    from academy.craft.timing.head_rows import ClockedParting

WIDTH = 720
LEFT, RIGHT = 172.0, 640.0
TOP, STEP, ROW, FOOT = 16.0, 17.0, 20.0, 22.0
MOST_TICKS = 10
TICKS = (5, 10, 15, 30, 60, 120, 240, 720)
LONGEST_LABEL = 27


@dataclass(frozen=True, slots=True)
class _Flag:
    """A named moment: from its words a line goes down to its row; None goes through all."""

    at: Decimal
    words: str
    row: int
    css: str


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where times and rows lie."""

    begins: Decimal
    ends: Decimal
    step: int
    flags: int
    rows: int

    def x(self, at: Decimal) -> float:
        return LEFT + (RIGHT - LEFT) * float((at - self.begins) / (self.ends - self.begins))

    @property
    def top(self) -> float:
        return TOP + self.flags * STEP + 8

    def middle(self, row: int) -> float:
        return self.top + ROW * row + ROW / 2

    @property
    def bottom(self) -> float:
        return self.top + ROW * self.rows


def timeline_svg(head: HeadClock) -> str:
    """The drawing as a complete svg element, 720 wide and as high as it has rows."""
    flags = sorted(_flags(head), key=lambda flag: flag.at, reverse=True)
    frame = _frame(head, len(flags))
    parts = [
        *_grid(frame),
        _window(head, frame, flags),
        *_root_row(head, frame),
        *_foil_rows(head, frame),
        *_drawn_flags(frame, flags),
        *_figures(head, frame),
        *legend(head, frame.bottom + FOOT),
    ]
    height = frame.bottom + FOOT + LEGEND_HIGH
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="tl" viewBox="0 0 {WIDTH} '
        f'{mark.number(height)}" role="img" aria-label="{escape(in_words(head))}">'
        f"{''.join(parts)}</svg>"
    )


def in_words(head: HeadClock) -> str:
    """What the drawing shows, for whoever does not see it."""
    found = [f"Timeline from {told(head.settings.starts_at)} to {told(_ends(head))}."]
    sums, roots = head.sums, head.settings.roots
    if roots:
        found.append(
            f"Root colour goes on from {told(sums.starts_at)} to {told(sums.root_ends)}, is looked "
            f"at at {told(sums.root_check)} and must be out by {told_limit(sums.root_latest)}."
        )
    closed = f"closed at {told(head.first.closed)}"
    if head.last is not head.first:
        closed = f"closed from {told(head.first.closed)} to {told(head.last.closed)}"
    many = "1 foil" if len(head.foils) == 1 else f"{len(head.foils)} foils"
    found.append(
        f"{many} on {len(head.partings)} {'parting' if len(head.partings) == 1 else 'partings'}, "
        f"{closed}; first look at {told(head.foil_check)}, last one ready at "
        f"{told(head.foils_ready)}. Foil {head.first.number} must be out by "
        f"{told_limit(head.foil_ceiling)}."
    )
    found.append(_rinse_words(head) + ".")
    return " ".join(found)


def _rinse_words(head: HeadClock) -> str:
    if head.possible:
        return f"Joint rinse {told_between(head.earliest, head.latest)}"
    return f"No joint rinse, foils come out singly until {told_limit(head.last.out_by)}"


def _ends(head: HeadClock) -> Decimal:
    last = head.foil_ceiling if head.possible else head.last.out_by
    return max(last, head.foils_ready, head.root_latest or last)


def _frame(head: HeadClock, flags: int) -> _Frame:
    begins, ends = head.settings.starts_at, max(_ends(head), head.settings.starts_at + 1)
    long = ends - begins
    step = next((step for step in TICKS if long / step <= MOST_TICKS), TICKS[-1])
    rows = len(head.partings) + bool(head.settings.roots)
    return _Frame(begins // step * step, ends, step, flags, rows)


def _flags(head: HeadClock) -> Iterator[_Flag]:
    roots, first = head.settings.roots, int(bool(head.settings.roots))
    last = first + len(head.partings) - 1
    if roots:
        check, out = head.sums.root_check, head.sums.root_latest
        yield _Flag(check, f"Look at the roots {_hour(check)}", 0, "look")
        yield _Flag(out, f"Ceiling of the roots {_limit(out)}", 0, "ceiling")
    ceiling = f"Ceiling of foil {head.first.number} {_limit(head.foil_ceiling)}"
    yield _Flag(head.foil_ceiling, ceiling, first, "ceiling")
    yield _Flag(head.foil_check, f"First look at the foils {_hour(head.foil_check)}", first, "look")
    if head.last is not head.first:
        yield _Flag(head.foils_ready, f"Last foil ready {_hour(head.foils_ready)}", last, "look")
    if head.possible:
        window = f"{_hour(head.earliest)} to {_limit(head.latest)}"
        one = told_between(head.earliest, head.latest).startswith("at ")
        words = f"Joint rinse {_limit(head.latest) if one else window}"
        yield _Flag(head.earliest, words, last, "rinse")


def _hour(at: Decimal) -> str:
    """The hour alone: the axis shows where a day ends."""
    return told(at)[:5]


def _limit(at: Decimal) -> str:
    return told_limit(at)[:5]


def _grid(frame: _Frame) -> Iterator[str]:
    lines, at = [], frame.begins
    while at <= frame.ends:
        x = frame.x(at)
        lines.append(mark.upright(x, TOP + 3, frame.bottom + 4))
        hour = clock_time(at)
        yield mark.text("tl-tick", x, TOP - 3, hour, "middle")
        yield mark.text("tl-tick", x, frame.bottom + 16, hour, "middle")
        at += frame.step
    yield mark.path("tl-grid", "".join(lines))
    yield mark.path("tl-axis", mark.level(frame.bottom, LEFT, RIGHT))


def _window(head: HeadClock, frame: _Frame, flags: list[_Flag]) -> str:
    """The joint rinse as a band through all rows, a line where it is one moment."""
    if not head.possible:
        return ""
    top = TOP + STEP * [flag.css for flag in flags].index("rinse") + 3
    left, right = frame.x(head.earliest), frame.x(head.latest)
    edges = mark.upright(left, top, frame.bottom) + mark.upright(right, top, frame.bottom)
    band = mark.rect("tl-window", left, top, right - left, frame.bottom - top)
    return band + mark.path("tl-edge", edges)


def _root_row(head: HeadClock, frame: _Frame) -> Iterator[str]:
    roots, sums = head.settings.roots, head.sums
    if not roots:
        return
    middle = frame.middle(0)
    on, ends = frame.x(sums.root_ends), head.earliest if head.possible else sums.root_latest
    begun, top = frame.x(sums.starts_at), middle - mark.BAR / 2
    yield mark.text("tl-row", 0, middle + 4, "Root colour")
    yield mark.rect("tl-apply", begun, top, on - begun, mark.BAR)
    yield mark.path("tl-hatch", mark.hatching(begun, top, on - begun, mark.BAR))
    borders = [frame.x(parting.ended) for parting in head.root_partings[:-1]]
    yield mark.path("tl-closed", "".join(mark.upright(x, top, top + mark.BAR) for x in borders))
    check = frame.x(sums.root_check)
    yield mark.rect("tl-least", on, top, check - on, mark.BAR)
    yield mark.rect("tl-stay", max(check, on), top, frame.x(ends) - max(check, on), mark.BAR)
    yield mark.ceiling(frame.x(sums.root_latest), middle)


def _foil_rows(head: HeadClock, frame: _Frame) -> Iterator[str]:
    first = int(bool(head.settings.roots))
    for row, parting in enumerate(head.partings, first):
        middle = frame.middle(row)
        out_by = min(foil.out_by for foil in parting.foils)
        ready = min(parting.foils[-1].ready, out_by)
        ends = head.earliest if head.possible else out_by
        closed, until = frame.x(parting.first_closed), frame.x(ready)
        top = middle - mark.BAR / 2
        yield mark.text("tl-row", 0, middle + 4, _label(parting))
        yield mark.path("tl-laying", mark.level(middle, frame.x(parting.foils[0].begun), closed))
        yield mark.rect("tl-least", closed, top, until - closed, mark.BAR)
        yield mark.rect("tl-stay", until, top, frame.x(ends) - until, mark.BAR)
        ticks = (
            mark.upright(frame.x(foil.closed), top - 3, top + mark.BAR) for foil in parting.foils
        )
        yield mark.path("tl-closed", "".join(ticks))
        if out_by <= frame.ends:
            yield mark.ceiling(frame.x(out_by), middle)


def _label(parting: ClockedParting) -> str:
    numbers = parting.numbers
    which = str(numbers[0])
    if len(numbers) > 1:
        run = all(other == one + 1 for one, other in pairwise(numbers))
        which = f"{numbers[0]} to {numbers[-1]}" if run else ", ".join(map(str, numbers))
    words = f"{which} {parting.foils[0].foil.section}".strip()
    return words if len(words) <= LONGEST_LABEL else words[: LONGEST_LABEL - 1].rstrip() + "…"


def _drawn_flags(frame: _Frame, flags: list[_Flag]) -> Iterator[str]:
    for place, flag in enumerate(flags):
        x, y = frame.x(flag.at), TOP + STEP * (place + 1) - 4
        if flag.css != "rinse":
            low = frame.middle(flag.row)
            stop = low - (mark.RING if flag.css == "look" else mark.CEILING)
            yield mark.path(f"tl-lead tl-lead-{flag.css}", mark.upright(x, y - 10, stop))
            if flag.css == "look":
                yield mark.look(x, low)
        yield mark.text(f"tl-flag tl-flag-{flag.css}", x - 4, y, flag.words, "end")


def _figures(head: HeadClock, frame: _Frame) -> Iterator[str]:
    """Beside each row what it has had at the earliest joint rinse, or when it must be out."""
    title = f"min at {_hour(head.earliest)}" if head.possible else "out by"
    yield mark.text("tl-figure", WIDTH, frame.top - 4, title, "end")
    rows = [_parting_figure(head, parting) for parting in head.partings]
    if head.settings.roots:
        had = shown(head.earliest - head.sums.root_counts_from, 1)
        rows.insert(0, had if head.possible else _limit(head.sums.root_latest))
    for row, words in enumerate(rows):
        yield mark.text("tl-figure", WIDTH, frame.middle(row) + 4, words, "end")


def _parting_figure(head: HeadClock, parting: ClockedParting) -> str:
    if not head.possible:
        return _limit(min(foil.out_by for foil in parting.foils))
    longest, shortest = (shown(one, 1) for one in parting.exposures(head.earliest))
    return longest if longest == shortest else f"{longest} to {shortest}"
