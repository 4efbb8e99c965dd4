"""The evidence pack of a head that was marked twice holds what its decision rests on."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from academy.people.models import Academy, Person, Role
from academy.reports.models import EvidencePack
from academy.reports.packs.build import pack_files
from tests.site.making import RULED, judged_head, publish, ruled_second

if TYPE_CHECKING:
    from academy.assessment.models import Assessment

Member = Callable[..., Person]


@pytest.fixture
def colleague(make_member: Member) -> Person:
    return make_member(Role.ASSESSOR, name="Joren Pask")


@pytest.fixture
def ruled(
    academy: Academy,
    educator: Person,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
) -> Assessment:
    """A not yet; the colleague's competent stands by ruling."""
    version = publish(academy, educator, "hygiene", zones=True)
    head = judged_head(version, assessor, apprentice, level=1, overall=1, drawn=True)
    return ruled_second(head, colleague, verifier)


def packed(about: Assessment, reader: Person) -> dict[str, bytes]:
    pack = EvidencePack.objects.create(
        academy=about.academy,
        about=EvidencePack.About.ASSESSMENT,
        subject_id=about.pk,
        asked_by=reader,
    )
    return pack_files(pack, lambda *_: None)


def sheets(files: dict[str, bytes]) -> list[dict[str, Any]]:
    return [json.loads(files[name]) for name in sorted(files) if name.endswith("/sheet.json")]


def actions(files: dict[str, bytes]) -> list[str]:
    names = sorted(name for name in files if name.startswith("record/entries/"))
    return [json.loads(files[name])["action"] for name in names]


def test_staff_get_both_marks_the_ruling_with_its_reason_and_their_entries(
    ruled: Assessment, verifier: Person
) -> None:
    files = packed(ruled, verifier)
    first, second = sheets(files)
    assert (first["kind"], first["by_marks"], first["overall"]) == ("first", "not_yet", 1)
    assert (second["kind"], second["by_marks"], second["overall"]) == ("second", "competent", 5)
    assert second["second_of"] == first["token"]
    assert first["ruling"]["decision"] == "second"
    assert (first["ruling"]["reason"], first["ruling"]["verifier"]) == (RULED, verifier.name)
    said = actions(files)
    assert said.count("assessment.assessment.submitted") == 2
    assert "assessment.ruling.given" in said
    assert "both marks" in files["README.txt"].decode()
    assert "second mark, assessor: Joren Pask" in files["index.html"].decode()


def test_asked_for_by_the_second_sheet_it_is_the_same_pair(
    ruled: Assessment, verifier: Person
) -> None:
    assert ruled.second is not None
    assert [row["kind"] for row in sheets(packed(ruled.second, verifier))] == ["first", "second"]


def test_the_apprentice_gets_the_mark_that_stands_and_the_reason_without_names(
    ruled: Assessment, apprentice: Person
) -> None:
    files = packed(ruled, apprentice)
    (sheet,) = sheets(files)
    assert (sheet["verdict"], sheet["by_marks"], sheet["overall"]) == ("Competent", "competent", 5)
    assert (sheet["head_mark"], sheet["assessor"]) == ("100.000", "A second assessor")
    assert sheet["ruling"]["reason"] == RULED
    assert "verifier" not in sheet["ruling"]
    assert b"must reach 3" not in files["sheets/1/sheet.json"]
    assert b"Joren" not in files["sheets/1/sheet.json"] + files["index.html"]


def test_an_assessor_who_may_not_compare_gets_the_one_sheet(
    ruled: Assessment, make_member: Member
) -> None:
    (sheet,) = sheets(packed(ruled, make_member(Role.ASSESSOR)))
    assert sheet["kind"] == "first"
