"""Published versions stand: in the model, in the QuerySet and in the database."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, connection, transaction

from academy.audit import sentences
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.audit.verifying import verify_chain
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import ModuleVersion, Step
from academy.curriculum.rows import content_of, fingerprint_of_all
from academy.curriculum.services import (
    load_modules,
    make_award,
    publish_version,
    retire_version,
    start_draft,
    start_module,
    write_draft,
)
from tests.site.curriculum.conftest import make_content

if TYPE_CHECKING:
    from academy.people.models import Academy, Person


@pytest.fixture
def changed(draft: ModuleVersion, educator: Person) -> ModuleVersion:
    write_draft(version=draft, content=make_content(title="Thin", needs=("quarters",)), by=educator)
    return draft


def test_publishing_retires_the_former_version(
    changed: ModuleVersion, slices: ModuleVersion, educator: Person
) -> None:
    publish_version(version=changed, by=educator)
    slices.refresh_from_db()
    changed.refresh_from_db()
    assert (slices.state, changed.state) == ("retired", "published")
    assert slices.retired_at
    assert changed.published_by == educator


def test_publishing_is_one_entry_that_names_the_content(
    changed: ModuleVersion, slices: ModuleVersion, educator: Person, academy: Academy
) -> None:
    before = Entry.objects.count()
    publish_version(version=changed, by=educator)
    entry = Entry.objects.latest("sequence")
    assert Entry.objects.count() == before + 1
    assert sentences.render([entry])[0].sentence == "Maren Tolvey published Thin, version 2"
    assert entry.details["retired"] == slices.pk
    assert len(entry.details["content_hash"]) == 64
    assert verify_chain(academy.pk).broken is None


def test_a_draft_with_problems_is_not_published_and_nothing_happens(
    draft: ModuleVersion, slices: ModuleVersion, educator: Person
) -> None:
    broken = make_content(needs=("quarters",), steps=(), families=("tea-making",))
    write_draft(version=draft, content=broken, by=educator)
    before = Entry.objects.count()
    with pytest.raises(CurriculumError, match="2 things keep") as caught:
        publish_version(version=draft, by=educator)
    assert [problem.path for problem in caught.value.problems] == ["steps", "families.0"]
    slices.refresh_from_db()
    assert slices.state == "published"
    assert Entry.objects.count() == before


def test_an_unchanged_draft_is_not_published(draft: ModuleVersion, educator: Person) -> None:
    with pytest.raises(CurriculumError, match="Nothing differs from version 1"):
        publish_version(version=draft, by=educator)


def test_a_draft_changed_after_it_was_read_is_not_published(
    changed: ModuleVersion, slices: ModuleVersion, educator: Person
) -> None:
    with pytest.raises(CurriculumError, match="changed after you opened"):
        publish_version(version=changed, by=educator, seen=fingerprint_of_all(content_of(slices)))


def test_publishing_twice_is_refused(changed: ModuleVersion, educator: Person) -> None:
    publish_version(version=changed, by=educator)
    with pytest.raises(CurriculumError, match="published meanwhile"):
        publish_version(version=changed, by=educator)


def test_a_circle_of_needs_is_refused_when_it_is_published(
    slices: ModuleVersion, academy: Academy, educator: Person
) -> None:
    quarters = ModuleVersion.objects.get(module__key="quarters")
    draft = start_draft(module=quarters.module, by=educator)
    write_draft(version=draft, content=make_content("quarters", needs=("slices",)), by=educator)
    with pytest.raises(CurriculumError) as caught:
        publish_version(version=draft, by=educator)
    assert "quarters → slices → quarters" in caught.value.problems[0].sentence


def test_a_module_that_has_only_a_draft_cannot_be_needed(
    slices: ModuleVersion, academy: Academy, educator: Person
) -> None:
    start_module(academy=academy, by=educator, key="glaze", title="Glaze")
    draft = start_draft(module=slices.module, by=educator)
    write_draft(version=draft, content=make_content(needs=("glaze",)), by=educator)
    with pytest.raises(CurriculumError) as caught:
        publish_version(version=draft, by=educator)
    assert "“glaze”" in caught.value.problems[0].sentence


def _save(version: ModuleVersion) -> None:
    version.title = "Changed"
    version.save()


def _save_a_step(version: ModuleVersion) -> None:
    step = version.steps.get(position=1)
    step.text = "Changed"
    step.save()


REFUSED: list[Callable[[ModuleVersion], object]] = [
    _save,
    _save_a_step,
    lambda version: version.delete(),
    lambda version: ModuleVersion.objects.filter(pk=version.pk).update(title="Changed"),
    lambda version: ModuleVersion.objects.filter(pk=version.pk).delete(),
    lambda version: version.steps.all().update(text="Changed"),
    lambda version: version.criteria.all().delete(),
    lambda version: version.sheets.get().delete(),
    lambda version: Step.objects.bulk_update(version.steps.all(), ["text"]),
]


@pytest.mark.parametrize("change", REFUSED)
def test_a_published_version_refuses_change_in_model_and_queryset(
    change: Callable[[ModuleVersion], object], slices: ModuleVersion
) -> None:
    before = content_of(slices)
    with pytest.raises(AuditError):
        change(slices)
    assert content_of(ModuleVersion.objects.with_parts().get(pk=slices.pk)) == before


SQL = [
    "UPDATE curriculum_moduleversion SET title = 'Changed' WHERE id = %s",
    "UPDATE curriculum_moduleversion SET state = 'draft' WHERE id = %s",
    "UPDATE curriculum_moduleversion SET state = 'retired', title = 'Changed' WHERE id = %s",
    "DELETE FROM curriculum_moduleversion WHERE id = %s",
    "DELETE FROM curriculum_step WHERE version_id = %s",
    "DELETE FROM curriculum_fault WHERE version_id = %s",
    "DELETE FROM curriculum_criterion WHERE version_id = %s",
    "DELETE FROM curriculum_targetline WHERE version_id = %s",
    "DELETE FROM curriculum_sheet WHERE version_id = %s",
    "DELETE FROM curriculum_prerequisite WHERE version_id = %s",
    "UPDATE curriculum_criterion SET level_3 = 'Easier' WHERE version_id = %s",
    "INSERT INTO curriculum_fault (version_id, position, fault, cause) VALUES (%s, 9, 'x', 'y')",
]


@pytest.mark.parametrize("sql", SQL)
@pytest.mark.parametrize("state", ["published", "retired"])
def test_the_database_refuses_change_of_a_version_that_stands(
    sql: str, state: str, changed: ModuleVersion, slices: ModuleVersion, educator: Person
) -> None:
    if state == "retired":
        publish_version(version=changed, by=educator)
    with pytest.raises(DatabaseError, match="stands"), transaction.atomic():
        connection.cursor().execute(sql, [slices.pk])
    assert content_of(ModuleVersion.objects.with_parts().get(pk=slices.pk)) == content_of(slices)


def test_retiring_takes_a_module_out_of_use(slices: ModuleVersion, educator: Person) -> None:
    retire_version(version=slices, by=educator)
    slices.refresh_from_db()
    assert slices.state == "retired"
    assert Entry.objects.latest("sequence").action == "curriculum.version.retired"
    with pytest.raises(CurriculumError, match="nothing to retire"):
        retire_version(version=slices, by=educator)


def test_a_module_that_another_needs_stays_in_use(slices: ModuleVersion, educator: Person) -> None:
    quarters = ModuleVersion.objects.get(module__key="quarters")
    with pytest.raises(CurriculumError, match="Slices needs this module"):
        retire_version(version=quarters, by=educator)


def test_a_module_of_an_award_stays_in_use(
    slices: ModuleVersion, academy: Academy, educator: Person
) -> None:
    make_award(academy=academy, by=educator, key="foils", title="Foils", modules=["slices"])
    with pytest.raises(CurriculumError, match="part of the award Foils"):
        retire_version(version=slices, by=educator)


def test_a_retired_module_comes_back_with_its_next_version(
    slices: ModuleVersion, academy: Academy, educator: Person
) -> None:
    retire_version(version=slices, by=educator)
    draft = start_draft(module=slices.module, by=educator)
    publish_version(version=draft, by=educator)
    assert slices.module.versions.get(state="published").number == 2


def test_an_award_of_a_module_that_is_not_published_is_refused(
    academy: Academy, educator: Person
) -> None:
    start_module(academy=academy, by=educator, key="glaze", title="Glaze")
    with pytest.raises(CurriculumError, match="Not published: glaze"):
        make_award(academy=academy, by=educator, key="shine", title="Shine", modules=["glaze"])


def test_the_same_content_in_another_academy_stays_apart(
    slices: ModuleVersion, other_academy: Academy
) -> None:
    load_modules(academy=other_academy, by=None, contents=[replace(make_content(), needs=())])
    assert ModuleVersion.objects.filter(module__key="slices", state="published").count() == 2
