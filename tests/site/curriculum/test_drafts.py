"""Drafts: begun as a copy, written, thrown away, by educators only."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from academy.audit import sentences
from academy.audit.models import Entry
from academy.curriculum.content import CriterionContent, Scope, StepContent
from academy.curriculum.errors import CurriculumError, StaleDraftError
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.rows import content_of, fingerprint
from academy.curriculum.services import (
    discard_draft,
    publish_version,
    start_draft,
    start_module,
    write_draft,
    write_part,
)
from tests.site.curriculum.conftest import make_content
from tests.site.making import LEVELS

if TYPE_CHECKING:
    from academy.people.models import Academy, Person


def stored(version: ModuleVersion) -> ModuleVersion:
    return ModuleVersion.objects.with_parts().get(pk=version.pk)


def test_a_draft_is_a_whole_copy_of_the_published_version(
    draft: ModuleVersion, slices: ModuleVersion
) -> None:
    assert draft.number == 2
    assert draft.based_on == slices
    assert content_of(stored(draft)) == content_of(slices)


def test_starting_a_draft_is_one_entry(draft: ModuleVersion, educator: Person) -> None:
    entry = Entry.objects.latest("sequence")
    assert (entry.action, entry.actor_id) == ("curriculum.draft.started", educator.pk)
    line = sentences.render([entry])[0]
    assert line.sentence.endswith("started a draft: Slices, version 2")


def test_a_module_has_one_draft(draft: ModuleVersion, educator: Person) -> None:
    with pytest.raises(CurriculumError, match="has a draft already"):
        start_draft(module=draft.module, by=educator)


def test_what_is_written_is_read_back_without_loss(draft: ModuleVersion, educator: Person) -> None:
    content = make_content(
        needs=("quarters",),
        time_minutes=Decimal("2.5"),
        title="Slices, thin",
        steps=(StepContent("One", "é ½ “quoted”", to_confirm=True),),
    )
    write_draft(version=draft, content=content, by=educator)
    assert content_of(stored(draft)) == content


def test_a_draft_may_be_half_written(draft: ModuleVersion, educator: Person) -> None:
    half = make_content(
        steps=(), criteria=(CriterionContent("S1", "", Scope.HEAD, ()),), purpose=""
    )
    write_draft(version=draft, content=half, by=educator)
    assert content_of(stored(draft)).criteria[0].levels == ("",) * 5


def test_touching_a_draft_writes_no_entry(draft: ModuleVersion, educator: Person) -> None:
    before = Entry.objects.count()
    write_draft(version=draft, content=make_content(title="Other"), by=educator)
    assert Entry.objects.count() == before


@pytest.mark.parametrize(
    ("fields", "path"),
    [
        ({"title": "x" * 121}, "title"),
        ({"heads_required": 0}, "heads_required"),
        ({"months_valid": -3}, "months_valid"),
        ({"time_minutes": Decimal(99999)}, "time_minutes"),
        ({"time_minutes": Decimal("2.55")}, "time_minutes"),
        ({"needs": ("nothing",)}, "needs"),
        ({"key": "weaves"}, "key"),
        ({"steps": (StepContent("h", "t"),) * 41}, "steps"),
        (
            {"criteria": (CriterionContent("S1", "a", Scope.HEAD, LEVELS, weight=9),)},
            "criteria.0.weight",
        ),
        ({"criteria": (CriterionContent("", "a", Scope.HEAD, LEVELS),)}, "criteria.0.code"),
        ({"criteria": (CriterionContent("S1", "a", Scope.HEAD, LEVELS),) * 2}, "criteria"),
        (
            {"criteria": (CriterionContent("S1", "a", Scope.HEAD, LEVELS, must_pass=True),)},
            "criteria.0.must_pass_reason",
        ),
    ],
)
def test_what_the_rows_cannot_hold_is_refused_whole(
    draft: ModuleVersion, educator: Person, fields: dict[str, Any], path: str
) -> None:
    before = content_of(stored(draft))
    with pytest.raises(CurriculumError) as caught:
        write_draft(version=draft, content=make_content(**{"key": "slices", **fields}), by=educator)
    assert path in [problem.path for problem in caught.value.problems]
    assert content_of(stored(draft)) == before


def test_a_part_that_was_saved_elsewhere_meanwhile_is_refused(
    draft: ModuleVersion, educator: Person
) -> None:
    seen = fingerprint(content_of(stored(draft)), ["steps"])
    first, second = (StepContent("First", "a"),), (StepContent("Second", "b"),)
    write_part(version=draft, changes={"steps": first}, seen=seen, by=educator)
    with pytest.raises(StaleDraftError) as caught:
        write_part(version=draft, changes={"steps": second}, seen=seen, by=educator)
    assert caught.value.now.steps == first
    assert content_of(stored(draft)).steps == first


def test_two_people_may_write_different_parts_at_the_same_time(
    draft: ModuleVersion, educator: Person
) -> None:
    content = content_of(stored(draft))
    steps, title = fingerprint(content, ["steps"]), fingerprint(content, ["title"])
    write_part(
        version=draft, changes={"steps": (StepContent("One", "a"),)}, seen=steps, by=educator
    )
    write_part(version=draft, changes={"title": "Thin"}, seen=title, by=educator)
    after = content_of(stored(draft))
    assert (after.title, after.steps[0].head) == ("Thin", "One")


def test_a_draft_that_was_published_meanwhile_takes_nothing_more(
    draft: ModuleVersion, educator: Person
) -> None:
    write_draft(version=draft, content=make_content(title="Thin", needs=("quarters",)), by=educator)
    publish_version(version=draft, by=educator)
    with pytest.raises(CurriculumError, match="was published meanwhile"):
        write_draft(version=draft, content=make_content(), by=educator)


def test_a_discarded_draft_leaves_the_published_version(
    draft: ModuleVersion, slices: ModuleVersion, educator: Person
) -> None:
    discard_draft(version=draft, by=educator)
    assert list(slices.module.versions.all()) == [slices]
    entry = Entry.objects.latest("sequence")
    assert entry.action == "curriculum.draft.discarded"
    assert entry.details == {"module": "slices", "number": 2}


def test_a_module_that_was_never_published_goes_with_its_draft(
    academy: Academy, educator: Person
) -> None:
    draft = start_module(academy=academy, by=educator, key="glaze", title="Glaze")
    discard_draft(version=draft, by=educator)
    assert not Module.objects.filter(key="glaze").exists()


def test_a_draft_thrown_away_twice_is_refused(draft: ModuleVersion, educator: Person) -> None:
    discard_draft(version=draft, by=educator)
    with pytest.raises(CurriculumError, match="thrown away meanwhile"):
        discard_draft(version=draft, by=educator)


@pytest.mark.parametrize("key", ["", "Glaze", "gla ze", "9glaze", "x" * 41, "gläze"])
def test_a_short_name_that_is_none_is_refused(key: str, academy: Academy, educator: Person) -> None:
    with pytest.raises(CurriculumError) as caught:
        start_module(academy=academy, by=educator, key=key, title="Glaze")
    assert caught.value.field == "key"
    assert not Module.objects.exists()


def test_a_short_name_is_taken_once(slices: ModuleVersion, academy: Academy) -> None:
    with pytest.raises(CurriculumError, match="already"):
        start_module(academy=academy, by=None, key="slices", title="Again")


def test_nobody_but_an_educator_of_this_academy_writes(
    module: Module, assessor: Person, other_academy: Academy, make_member: object
) -> None:
    with pytest.raises(CurriculumError, match="Only an educator"):
        start_draft(module=module, by=assessor)
    assert module.versions.count() == 1
