"""The evidence pack of a head that was marked twice holds what its decision rests on."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from academy.assessment.models import Mark, Outcome
from academy.audit import triggers
from academy.craft.judging.outcome import outcome
from academy.craft.judging.stored import marking_from, stored
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


def unpacked(files: dict[str, bytes], folder: Path) -> Path:
    for name, content in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    return folder


def checked(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "check.py"], cwd=folder, capture_output=True, text=True, check=False
    )


def test_the_check_compares_both_sheets_with_their_entries(
    ruled: Assessment, verifier: Person, tmp_path: Path
) -> None:
    done = checked(unpacked(packed(ruled, verifier), tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Sheets that are as submitted: 2 of 2." in done.stdout


def test_to_an_apprentice_the_check_says_what_it_has_no_entry_for(
    ruled: Assessment, apprentice: Person, tmp_path: Path
) -> None:
    done = checked(unpacked(packed(ruled, apprentice), tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Sheets that are as submitted: 0 of 1." in done.stdout
    assert "The pack has no entry for the others" in done.stdout


def raise_levels(head: Assessment) -> None:
    """All levels at 4 behind the program's back, with an outcome that fits them."""
    marking = marking_from(head.outcome.figures["marking"])
    marking = replace(marking, marks=dict.fromkeys(marking.marks, 4))
    result = outcome(marking)
    triggers.remove()
    Mark._base_manager.filter(assessment=head).update(level=4)
    Outcome._base_manager.filter(assessment=head).update(
        figures=stored(marking, result),
        by_marks=result.by_marks.value,
        head_mark=result.head_mark,
    )
    triggers.install()


def test_the_check_finds_a_sheet_that_is_not_as_it_was_submitted(
    ruled: Assessment, verifier: Person, tmp_path: Path
) -> None:
    raise_levels(ruled)
    done = checked(unpacked(packed(ruled, verifier), tmp_path))
    assert done.returncode == 1
    assert done.stdout == "WRONG: sheet 1: the figures are not those that were submitted\n"


def test_the_check_finds_a_level_that_the_figures_do_not_have(
    ruled: Assessment, verifier: Person, tmp_path: Path
) -> None:
    triggers.remove()
    Mark._base_manager.filter(assessment=ruled).update(level=4)
    triggers.install()
    done = checked(unpacked(packed(ruled, verifier), tmp_path))
    assert done.stdout == "WRONG: sheet 1: levels.csv is not as its figures\n"
