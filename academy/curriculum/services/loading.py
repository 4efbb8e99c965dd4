"""The curriculum that is shipped, from readable files, through the services of the forms."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.db import transaction

from academy.curriculum.content import ContentError, ModuleContent, check_needs, parse_module
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import Award, Module, ModuleVersion
from academy.curriculum.rows import content_of, same
from academy.curriculum.services.awards import make_award
from academy.curriculum.services.common import State, needs_map
from academy.curriculum.services.drafts import start_draft, start_module, write_draft
from academy.curriculum.services.publishing import publish_version

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.people.models import Academy, Person

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


@dataclass(frozen=True)
class Loaded:
    """What loading did: keys of modules published anew, and of those that were so already."""

    published: tuple[str, ...]
    unchanged: tuple[str, ...]


def read_modules(folder: Path = FIXTURES / "modules") -> list[ModuleContent]:
    """The modules of a folder of TOML files; `CurriculumError` names file, place and reason."""
    found = []
    for path in sorted(folder.glob("*.toml")):
        try:
            content = parse_module(tomllib.loads(path.read_text("utf-8")))
        except (tomllib.TOMLDecodeError, ContentError, UnicodeDecodeError) as error:
            raise CurriculumError(f"{path.name}: {error}") from error
        if content.key != path.stem:
            raise CurriculumError(
                f"{path.name}: the key is “{content.key}”. Name the file after it."
            )
        found.append(content)
    return found


@transaction.atomic
def load_modules(
    *, academy: Academy, by: Person | None, contents: Iterable[ModuleContent] | None = None
) -> Loaded:
    """Publish modules as they are written; all of them or none.

    A module whose published version says the same is left alone, another gets its next version.
    """
    chosen = {content.key: content for content in (contents or read_modules())}
    published, unchanged = [], []
    for key in _in_order(chosen, academy):
        draft = _draft_for(academy, by, chosen[key])
        if draft is None:
            unchanged.append(key)
            continue
        write_draft(version=draft, content=chosen[key], by=by)
        publish_version(version=draft, by=by)
        published.append(key)
    _put_in_order(academy)
    return Loaded(tuple(published), tuple(unchanged))


def _in_order(chosen: dict[str, ModuleContent], academy: Academy) -> list[str]:
    """The keys, each after the modules it needs."""
    graph: dict[str, Iterable[str]] = {**needs_map(academy)}
    graph |= {key: content.needs for key, content in chosen.items()}
    problems = check_needs(graph)
    if problems:
        raise CurriculumError(" ".join(problem.sentence for problem in problems), problems=problems)
    ordered: list[str] = []
    while len(ordered) < len(graph):
        ordered += sorted(
            key for key in graph if key not in ordered and set(graph[key]) <= set(ordered)
        )
    return [key for key in ordered if key in chosen]


def _draft_for(academy: Academy, by: Person | None, content: ModuleContent) -> ModuleVersion | None:
    versions = ModuleVersion.objects.filter(academy=academy, module__key=content.key)
    current = versions.with_parts().filter(state=State.PUBLISHED).first()
    if current is not None and same(content_of(current), content):
        return None
    if versions.exists():
        return start_draft(module=versions[0].module, by=by)
    return start_module(academy=academy, by=by, key=content.key, title=content.title)


def _put_in_order(academy: Academy) -> None:
    """The order of the file; modules it does not name keep theirs, after it."""
    order = {key: n for n, key in enumerate(_read("curriculum.toml")["modules"], 1)}
    modules = [module for module in Module.objects.filter(academy=academy) if module.key in order]
    for module in modules:
        module.position = order[module.key]
    Module.objects.bulk_update(modules, ["position"])


@transaction.atomic
def load_awards(*, academy: Academy, by: Person | None) -> list[Award]:
    """Make the shipped awards that the academy does not have yet."""
    held = set(Award.objects.filter(academy=academy).values_list("key", flat=True))
    return [
        make_award(academy=academy, by=by, **award)
        for award in _read("awards.toml")["award"]
        if award["key"] not in held
    ]


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((FIXTURES / name).read_text("utf-8"))
