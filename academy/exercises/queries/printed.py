"""A paper, its key or its marking guide as the pages that go into a PDF."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from academy.craft.exercise.engine import picture_of
from academy.craft.exercise.guide import carries_over, tolerance_words, unsafe_words
from academy.craft.head.sheet import Place, best_view, place
from academy.craft.head.svg import VIEW_TITLES, Drawing, view_svg
from academy.craft.measure import Spot
from academy.exercises.form_numbers import form_number
from academy.exercises.models import PaperPrint, Question
from academy.exercises.queries.keys import key_views
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.standing import counting
from academy.exercises.seeds import seed_words
from academy.exercises.services.prints import EVERYBODY, people_to_print
from academy.people.models import Person
from academy.web.paper import self_contained

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.craft.exercise.engine import Field
    from academy.craft.measure import Value
    from academy.exercises.models import Paper
    from academy.exercises.queries.keys import KeyLine, KeyView

TEMPLATES = {
    PaperPrint.What.PAPERS: "print/paper.html",
    PaperPrint.What.KEY: "print/paper_key.html",
    PaperPrint.What.GUIDE: "print/paper_guide.html",
}
# In the order in which a sheet of paper shows them; the grid is 20 mm wide on the head.
_SPOT_VIEWS = ("left", "top", "right", "front", "back")
_GRID, _FIGURES = 20, 40


@dataclass(frozen=True)
class PrintedLine:
    """One line of a question on paper. `letter` marks a point put on the heads below.

    `on_grid` says where the right point lies: the view that sees it best and the mm on its grid.
    """

    line: KeyLine
    letter: str = ""
    on_grid: str = ""

    @property
    def field(self) -> Field:
        return self.line.field

    @property
    def cell(self) -> str:
        return self.line.cell

    @property
    def places(self) -> range:
        """The numbered boxes of an order."""
        return range(1, len(self.field.choices) + 1)


@dataclass(frozen=True)
class GuideLine:
    """One line for a marker: key and tolerance, what carries over, slips with their sentences."""

    line: KeyLine
    on_grid: str
    tolerance: str
    carries: tuple[str, ...]
    unsafe: str
    also: tuple[str, ...]
    slips: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class PrintedQuestion:
    """One question as paper, key and guide need it."""

    view: KeyView

    @property
    def picture(self) -> SafeString | None:
        drawing = picture_of(self.view.question)
        return mark_safe(drawing.svg) if drawing else None  # noqa: S308  (our own drawing)

    @property
    def lines(self) -> list[PrintedLine]:
        letters, key = iter("ABCDEFGHJK"), self.view.question.key
        return [
            PrintedLine(line, next(letters), _on_grid(key.get(line.field.key)))
            if line.field.widget == "spot"
            else PrintedLine(line)
            for line in self.view.lines
        ]

    @property
    def heads(self) -> list[tuple[str, SafeString]]:
        """The views to put points on, where a line asks for one."""
        asked = any(line.field.widget == "spot" for line in self.view.lines)
        return _heads() if asked else []

    @property
    def guide(self) -> list[GuideLine]:
        question = self.view.question
        labels = {field.key: field.label for field in question.fields}
        carries = carries_over(question)
        return [
            GuideLine(
                line,
                _on_grid(question.key[line.field.key]),
                tolerance_words(line.field, question.key[line.field.key]),
                tuple(labels[key] for key in carries[line.field.key]),
                unsafe_words(line.field, question.key[line.field.key]),
                tuple(line.field.printed(value) for value in line.field.also),
                tuple(
                    (slip_words(slip.id), line.field.printed(slip.value), slip.sentence)
                    for slip in question.mistakes
                    if slip.field == line.field.key
                ),
            )
            for line in self.view.lines
        ]


def paper_pages(paper: Paper, *, what: str, people: Sequence[int] | None = None) -> list[str]:
    """The HTML for each of these people (None: for all), in their order. Three queries."""
    wanted = people_to_print(paper, what) if people is None else people
    rows = Question.objects.filter(paper=paper, attempt=1, edition=paper.edition)
    if not paper.same_numbers:
        rows = rows.filter(apprentice__in=wanted)
    drawn: dict[int, list[Question]] = defaultdict(list)
    for row in counting(rows.order_by("position")):
        drawn[row.apprentice_id or EVERYBODY].append(row)
    names = Person.objects.in_bulk([person for person in wanted if person])
    common = _printed(drawn[EVERYBODY]) if paper.same_numbers else None
    return [
        _page(
            paper,
            what,
            names.get(person),
            _printed(drawn[person]) if common is None else common,
        )
        for person in wanted
    ]


def _printed(rows: Iterable[Question]) -> list[PrintedQuestion]:
    return [PrintedQuestion(view) for view in key_views(row.question for row in rows)]


def _page(
    paper: Paper, what: str, person: Person | None, questions: Sequence[PrintedQuestion]
) -> str:
    context = {
        "paper": paper,
        "what": what,
        "seed": seed_words(paper.seed),
        "person": person,
        "number": form_number(paper, person) if person else "",
        "questions": questions,
        "marks": sum(question.view.marks for question in questions),
    }
    return self_contained(render_to_string(TEMPLATES[PaperPrint.What(what)], context))


@cache
def _heads() -> list[tuple[str, SafeString]]:
    return [
        (VIEW_TITLES[view], mark_safe(_with_grid(view_svg(view, Drawing(labels=False)))))  # noqa: S308
        for view in _SPOT_VIEWS
    ]


def _with_grid(svg: str) -> str:
    """A head with lines every 20 mm, figures every 40: a point on paper is read off and typed."""
    start = svg.index('viewBox="') + len('viewBox="')
    left, top, width, height = map(int, svg[start : svg.index('"', start)].split())
    right, bottom = left + width, top + height
    across = [x for x in range(-200, 201, _GRID) if left < x < right]
    down = [y for y in range(-200, 201, _GRID) if top < y < bottom]
    lines = "".join(f"M{x} {top}V{bottom}" for x in across)
    lines += "".join(f"M{left} {y}H{right}" for y in down)
    figures = "".join(
        f'<text x="{x}" y="{bottom - 2}" text-anchor="middle">{_signed(x)}</text>'
        for x in across
        if not x % _FIGURES
    ) + "".join(
        f'<text x="{left + 1}" y="{y + 4}">{_signed(-y)}</text>'
        for y in down
        if not y % _FIGURES and y < bottom - 2 * _GRID
    )
    grid = (
        f'<path d="{lines}" fill="none" stroke="#62686f" stroke-width="0.4" '
        f'stroke-dasharray="1 3"/><g font-size="11" fill="#474d54">{figures}</g>'
    )
    return svg.replace("</svg>", f"{grid}</svg>")


def _on_grid(right: Value | None) -> str:
    if not isinstance(right, Spot):
        return ""
    azimuth, elevation = float(right.azimuth), float(right.elevation)
    view = best_view(Place.at(azimuth, elevation))
    across, up, _ = place(view, azimuth, elevation)
    return f"{view} {_signed(round(across))} {_signed(round(up))}"


def _signed(mm: int) -> str:
    return f"\u2212{-mm}" if mm < 0 else str(mm)
