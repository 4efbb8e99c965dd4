"""What the pages show, gathered in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.curriculum.drawings import SheetDrawing, sheets_of, tab_titles
from academy.curriculum.graph import Graph, Node, lay_out
from academy.curriculum.models import Module, ModuleVersion, Prerequisite
from academy.curriculum.reference import cautions, family_titles
from academy.curriculum.rows import content_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.curriculum.content import ModuleContent, Problem
    from academy.curriculum.models import Award, AwardQuerySet, ModuleVersionQuerySet
    from academy.people.models import Academy

State = ModuleVersion.State


@dataclass(frozen=True)
class Neighbour:
    """A module before or after another, for a link."""

    key: str
    title: str
    token: str


@dataclass(frozen=True)
class ModuleRow:
    """A row of the module list."""

    version: ModuleVersion
    needs: tuple[Neighbour, ...]
    targets: tuple[str, ...]


@dataclass(frozen=True)
class ModulePage:
    """A version with all that its page shows.

    `sheet` is the one that is open, if there is any; `families` are (key, title).
    """

    version: ModuleVersion
    content: ModuleContent
    sheets: Sequence[SheetDrawing]
    tabs: Sequence[str]
    sheet: SheetDrawing | None
    chosen: int
    needs: tuple[Neighbour, ...]
    opens: tuple[Neighbour, ...]
    cautions: tuple[str, ...]
    families: tuple[tuple[str, str], ...]


def published_versions(academy: Academy) -> ModuleVersionQuerySet:
    """The published version of every module, in the order of the list."""
    return ModuleVersion.objects.filter(academy=academy, state=State.PUBLISHED).for_list()


def module_rows(academy: Academy) -> list[ModuleRow]:
    """The module list. Three queries."""
    versions = list(published_versions(academy))
    known = {
        version.module_id: Neighbour(version.module.key, version.title, version.module.token)
        for version in versions
    }
    return [
        ModuleRow(
            version,
            tuple(known[need.needs_id] for need in version.prerequisites.all()),
            tuple(str(target) for target in version.targets.all()),
        )
        for version in versions
    ]


def module_graph(rows: Sequence[ModuleRow]) -> tuple[Graph, dict[str, str]]:
    """The drawing of which module opens which, and the token of each key."""
    nodes = [
        Node(row.version.module.key, row.version.title, tuple(need.key for need in row.needs))
        for row in rows
    ]
    return lay_out(nodes), {row.version.module.key: row.version.module.token for row in rows}


@dataclass(frozen=True)
class HistoryRow:
    """A version of a module, and the number of the one before it (0 for the first)."""

    version: ModuleVersion
    before: int


def history(visible: ModuleVersionQuerySet, module: Module) -> list[HistoryRow]:
    """The versions of a module, the newest first. One query."""
    versions = list(
        visible.filter(module=module).select_related("published_by").order_by("-number")
    )
    numbers = [*(version.number for version in versions[1:]), 0][: len(versions)]
    return [HistoryRow(*row) for row in zip(versions, numbers, strict=True)]


def award_rows(awards: AwardQuerySet, academy: Academy) -> list[tuple[Award, list[Neighbour]]]:
    """Awards fetched `for_list`, each with its modules by title. Three queries."""
    titles = _titles(academy.pk)
    return [
        (award, [titles[m.key] for m in award.modules.all() if m.key in titles]) for award in awards
    ]


def published_titles(academy: Academy, *, without: Module | None = None) -> dict[str, str]:
    """The titles of the published modules by key, in the order of the list. One query."""
    found = ModuleVersion.objects.filter(academy=academy, state=State.PUBLISHED)
    if without is not None:
        found = found.exclude(module=without)
    return dict(found.order_by("module__position").values_list("module__key", "title"))


def drafts(academy: Academy) -> ModuleVersionQuerySet:
    """The open drafts, the latest touched first."""
    found = ModuleVersion.objects.filter(academy=academy, state=State.DRAFT)
    return found.select_related("module", "made_by").order_by("-changed_at")


def module_page(version: ModuleVersion, chosen: int = 1) -> ModulePage:
    """The page of a version fetched `with_parts`; `chosen` counts sheets from 1. Two queries."""
    content = content_of(version)
    sheets = sheets_of(content)
    chosen = chosen if 1 <= chosen <= len(sheets) else 1
    titles = _titles(version.academy_id)
    return ModulePage(
        version=version,
        content=content,
        sheets=sheets,
        tabs=tab_titles(sheets),
        sheet=sheets[chosen - 1] if sheets else None,
        chosen=chosen,
        needs=tuple(titles[key] for key in content.needs if key in titles),
        opens=_opens(version, titles),
        cautions=tuple(caution.text for caution in cautions() if caution.id in content.cautions),
        families=tuple((key, family_titles().get(key, key)) for key in content.families),
    )


def _titles(academy_id: int) -> dict[str, Neighbour]:
    published = ModuleVersion.objects.filter(academy=academy_id, state=State.PUBLISHED)
    rows = published.order_by("module__position").values_list(
        "module__key", "title", "module__token"
    )
    return {key: Neighbour(key, title, token) for key, title, token in rows}


def _opens(version: ModuleVersion, titles: dict[str, Neighbour]) -> tuple[Neighbour, ...]:
    keys = set(
        Prerequisite.objects.filter(
            needs=version.module_id, version__state=State.PUBLISHED
        ).values_list("version__module__key", flat=True)
    )
    return tuple(neighbour for key, neighbour in titles.items() if key in keys)


@dataclass(frozen=True)
class PlacedProblem:
    """What keeps a draft from being published, with the part of the form it belongs to."""

    part: str
    sentence: str


PART_OF = {
    "steps": "steps",
    "faults": "faults",
    "criteria": "criteria",
    "targets": "targets",
    "sheets": "sheets",
}


def placed(problems: Sequence[Problem]) -> list[PlacedProblem]:
    """Problems with the part of the draft's form in which each can be mended."""
    return [
        PlacedProblem(PART_OF.get(problem.path.split(".")[0], "basics"), problem.sentence)
        for problem in problems
    ]
