from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from unittest.mock import patch

import pytest
from django.utils import timezone

from academy.audit.models import Entry
from academy.curriculum.content import PracticeUnit
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import start_draft
from academy.people.models import Academy, Person, Role
from academy.practice import services
from academy.practice.models import PracticeSession
from academy.practice.services import PracticeError, logbook
from academy.practice.targets import Done

Log = Callable[..., PracticeSession]
HEADS = PracticeUnit.HEADS


def test_a_session_is_kept_with_all_that_was_said_and_one_entry(
    log: Log, educator: Person, one_entry: Any
) -> None:
    with one_entry("practice.session.logged"):
        session = log(
            heads=2,
            tag="resistant",
            supervisor=educator,
            zones=["nape"],
            criteria=["V1"],
            went_well=" Even. ",
        )
    assert [done.words for done in session.units.all()] == ["2 heads, resistant"]
    assert (session.zones, session.criteria, session.went_well) == (["nape"], ["V1"], "Even.")
    assert session.state == PracticeSession.State.WAITING


def test_the_same_key_again_is_the_same_session(log: Log) -> None:
    first = log(key="k" * 22)
    entries = Entry.objects.count()
    assert log(key="k" * 22, heads=3) == first
    assert (PracticeSession.objects.count(), Entry.objects.count()) == (1, entries)


def test_two_presses_at_one_moment_are_one_session(log: Log) -> None:
    """The second press looks before the first has written, and meets the constraint."""
    first = log(key="k" * 22)
    entries = Entry.objects.count()
    answers = iter([None])
    looks = logbook._sent_before

    def too_early(apprentice: Person, client_key: str) -> PracticeSession | None:
        return next(answers, looks(apprentice, client_key))

    with patch.object(logbook, "_sent_before", too_early):
        assert log(key="k" * 22) == first
    assert (PracticeSession.objects.count(), Entry.objects.count()) == (1, entries)


def test_the_same_key_of_another_person_is_another_session(
    log: Log, make_member: Callable[..., Person]
) -> None:
    log(key="k" * 22)
    log(key="k" * 22, by=make_member(Role.APPRENTICE))
    assert PracticeSession.objects.count() == 2


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"days": -1}, "started_at"),
        ({"days": 366}, "started_at"),
        ({"minutes": 0}, "minutes"),
        ({"minutes": -5}, "minutes"),
        ({"minutes": 721}, "minutes"),
        ({"heads": 0}, "units"),
        ({"heads": 501}, "units"),
        ({"tag": "green"}, "units"),
        ({"units": []}, "units"),
        ({"units": [Done(PracticeUnit.FOILS, 3)]}, "units"),
        ({"units": [Done(HEADS, 1), Done(HEADS, 2)]}, "units"),
        ({"zones": ["perimeter"]}, "zones"),
        ({"criteria": ["Q9"]}, "criteria"),
        ({"went_well": "x" * 1001}, "went_well"),
        ({"to_change": "x" * 1001}, "to_change"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    log: Log, wrong: dict[str, object], field: str
) -> None:
    entries = Entry.objects.count()
    with pytest.raises(PracticeError) as refused:
        log(**wrong)
    assert refused.value.field == field
    assert not PracticeSession.objects.exists()
    assert Entry.objects.count() == entries


def test_a_clock_that_runs_a_little_ahead_is_no_future(log: Log) -> None:
    assert log(started_at=timezone.now() + timedelta(minutes=4)).pk


def test_only_somebody_else_of_the_academy_who_teaches_or_assesses_can_have_stood_there(
    log: Log,
    apprentice: Person,
    manager: Person,
    make_member: Callable[..., Person],
    other_academy: Academy,
) -> None:
    elsewhere = make_member(Role.EDUCATOR, academy=other_academy)
    for person in (apprentice, manager, elsewhere):
        with pytest.raises(PracticeError) as refused:
            log(supervisor=person)
        assert refused.value.field == "supervisor"


def test_only_an_apprentice_keeps_a_log(log: Log, educator: Person) -> None:
    with pytest.raises(PracticeError, match="Only an apprentice"):
        log(by=educator)


def test_a_module_of_another_academy_is_refused(
    log: Log, other_academy: Academy, publish: Callable[[Academy], None]
) -> None:
    publish(other_academy)
    theirs = ModuleVersion.objects.get(academy=other_academy, module__key="regrowth")
    with pytest.raises(PracticeError, match="your academy's modules"):
        log(version=theirs)


def test_a_draft_is_refused(log: Log, white: ModuleVersion, educator: Person) -> None:
    draft = start_draft(module=white.module, by=educator)
    with pytest.raises(PracticeError, match="your academy's modules"):
        log(version=draft)


def test_a_retired_edition_goes_on_for_those_who_began_it_and_for_nobody_else(
    log: Log, white: ModuleVersion, make_member: Callable[..., Person]
) -> None:
    log(days=3)
    ModuleVersion.objects.filter(pk=white.pk).update(state="retired", retired_at=timezone.now())
    white.refresh_from_db()
    assert log(version=white).module_version == white
    with pytest.raises(PracticeError, match="retired"):
        log(version=white, by=make_member(Role.APPRENTICE))


def test_a_tag_in_any_letters_can_be_recorded() -> None:
    assert logbook._unit_code("heads", 2, "très résistant @ nape") == "heads:2:tr-s-r-sistant-nape"


def test_services_name_their_errors_once() -> None:
    assert services.PracticeError is PracticeError
