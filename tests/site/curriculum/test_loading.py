"""The shipped modules load, publish and show, each with its head."""

from __future__ import annotations

import html
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.core.management import CommandError, call_command

from academy.audit.models import Entry
from academy.curriculum.drawings import sheets_for
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import Award, Module, ModuleVersion
from academy.curriculum.queries import published_versions
from academy.curriculum.rows import content_of
from academy.curriculum.services import load_modules
from academy.curriculum.services.loading import FIXTURES, read_modules
from tests.site.curriculum.conftest import make_content

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

KEYS = sorted(path.stem for path in (FIXTURES / "modules").glob("*.toml"))
WITHOUT_SHEET = {"hygiene"}


@pytest.fixture
def loaded(academy: Academy) -> Academy:
    call_command("load_curriculum", academy=academy.slug, verbosity=0)
    return academy


def test_seventeen_modules_are_shipped() -> None:
    assert len(KEYS) == 17


def test_every_shipped_module_is_published_as_it_is_written(loaded: Academy) -> None:
    held = {
        version.module.key: content_of(version)
        for version in ModuleVersion.objects.filter(academy=loaded).with_parts()
    }
    for content in read_modules():
        kept = held.pop(content.key)
        assert kept.steps == content.steps
        assert kept.criteria == content.criteria
        assert kept.sheets == content.sheets
        assert set(kept.needs) == set(content.needs)
        assert kept.time_minutes == content.time_minutes
    assert held == {}


def test_the_page_of_every_shipped_module_shows_its_head(
    loaded: Academy, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(apprentice)
    for version in published_versions(loaded):
        page = client.get(f"/{loaded.slug}/modules/{version.module.token}/")
        text = html.unescape(page.content.decode())
        sheets = sheets_for(version)
        assert version.title in text
        assert version.criteria.get(position=1).level_3 in text
        assert text.count('class="hd"') == (5 if sheets else 0), version.title
        assert bool(sheets) == (version.module.key not in WITHOUT_SHEET), version.title
        assert not any(sheet.problem for sheet in sheets), version.title


def test_every_judged_zone_of_a_shipped_module_lies_on_one_of_its_sheets(loaded: Academy) -> None:
    for version in published_versions(loaded):
        drawn = {zone.value for sheet in sheets_for(version) for zone in sheet.zones}
        assert not version.sheets.exists() or set(version.judged_zones) <= drawn, version.title


def test_loading_again_changes_nothing_and_writes_nothing(loaded: Academy) -> None:
    entries, versions = Entry.objects.count(), ModuleVersion.objects.count()
    call_command("load_curriculum", academy=loaded.slug, verbosity=0)
    assert (Entry.objects.count(), ModuleVersion.objects.count()) == (entries, versions)


def test_the_five_shipped_awards_hold_published_modules(loaded: Academy) -> None:
    foils = Award.objects.get(academy=loaded, key="foundation-foils")
    assert Award.objects.filter(academy=loaded).count() == 5
    assert foils.modules.count() == 7


def test_modules_stand_in_the_order_of_the_trade_page(loaded: Academy) -> None:
    keys = list(Module.objects.filter(academy=loaded).values_list("key", flat=True))
    assert keys[:4] == ["hygiene", "consultation", "records", "quarters"]
    assert len(set(Module.objects.values_list("position", flat=True))) == 17


def test_a_changed_file_gives_the_next_version(academy: Academy) -> None:
    load_modules(academy=academy, by=None, contents=[make_content()])
    done = load_modules(academy=academy, by=None, contents=[make_content(title="Thin slices")])
    assert done.published == ("slices",)
    states = list(ModuleVersion.objects.order_by("number").values_list("number", "state"))
    assert states == [(1, "retired"), (2, "published")]


def test_one_module_that_cannot_be_published_keeps_all_from_loading(academy: Academy) -> None:
    broken = make_content("weaves", criteria=())
    with pytest.raises(CurriculumError, match="One thing keeps") as caught:
        load_modules(academy=academy, by=None, contents=[make_content(), broken])
    assert caught.value.problems[0].path == "criteria"
    assert not Module.objects.exists()
    assert not Entry.objects.exists()


def test_needs_that_close_a_circle_are_refused(academy: Academy) -> None:
    contents = [make_content("weaves", needs=("slices",)), make_content(needs=("weaves",))]
    with pytest.raises(CurriculumError, match="close a circle"):
        load_modules(academy=academy, by=None, contents=contents)


def test_a_file_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    (tmp_path / "slices.toml").write_text('key = "slices"\njudged_zones = ["forehead"]\n')
    with pytest.raises(CurriculumError, match=r"slices\.toml.*forehead"):
        read_modules(tmp_path)


def test_a_file_under_another_name_is_refused(tmp_path: Path) -> None:
    (tmp_path / "slice.toml").write_text('key = "slices"\n')
    with pytest.raises(CurriculumError, match=r"slice\.toml: the key is “slices”"):
        read_modules(tmp_path)


def test_the_command_names_an_academy_that_does_not_exist() -> None:
    with pytest.raises(CommandError, match="no academy “nowhere”"):
        call_command("load_curriculum", academy="nowhere")
