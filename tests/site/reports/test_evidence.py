"""An evidence pack holds a decision with its proofs, and the commands printed in it work."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.test import Client
from django.utils import timezone

from academy.assessment.services.appealing import appeal
from academy.assessment.services.second import assign_second_mark
from academy.audit.checkpoints import make_checkpoint, tree_at
from academy.audit.models import Checkpoint, Entry
from academy.people.models import Academy, Person, Role
from academy.reports.models import EvidencePack
from academy.reports.packs import proofs
from academy.reports.tasks import build_pack, forget_packs
from academy.web.models import Job
from tests.conftest import missing
from tests.site.making import judged_head, publish, second_mark, sign_on, signed_off, upheld

if TYPE_CHECKING:
    from academy.assessment.models import SignOff
    from academy.craft.proof.merkle import Tree

SignedIn = Callable[[Person], Client]


@pytest.fixture
def decision(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person, verifier: Person
) -> SignOff:
    return upheld(
        signed_off(publish(academy, educator, "hygiene", zones=True), assessor, apprentice),
        verifier,
    )


def asked(browser: Client, row: SignOff) -> zipfile.ZipFile:
    address = f"/larkmere/evidence/sign-off/{row.token}/"
    page = browser.post(address, follow=True)
    assert page.status_code == 200
    answer = browser.get(f"{address}pack.zip")
    return zipfile.ZipFile(io.BytesIO(answer.content))


def unpacked(archive: zipfile.ZipFile, folder: Path) -> Path:
    archive.extractall(folder)
    return folder


@pytest.fixture
def pack(signed_in: SignedIn, verifier: Person, decision: SignOff, tmp_path: Path) -> Path:
    """A pack whose entries lie under two checkpoints."""
    make_checkpoint(decision.academy_id)
    upheld(decision, verifier)
    return unpacked(asked(signed_in(verifier), decision), tmp_path)


def checked(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "check.py"], cwd=folder, capture_output=True, text=True, check=False
    )


def test_it_holds_the_sheet_the_decision_and_every_entry_about_it(pack: Path) -> None:
    said = json.loads((pack / "decision.json").read_text())
    assert said["sign_offs"][0]["apprentice"] == "Tamsin Orle"
    assert [check["result"] for check in said["sign_offs"][0]["verifications"]] == ["upheld"] * 2
    sheet = json.loads((pack / "sheets/1/sheet.json").read_text())
    assert sheet["by_marks"] == "competent"
    assert sheet["rules_and_figures"]["marking"]
    levels = list(csv.DictReader((pack / "sheets/1/levels.csv").read_text().splitlines()))
    assert [(row["criterion"], row["zone"], row["level"]) for row in levels] == [
        ("A1", "", "4"),
        ("A2", "crown", "4"),
        ("A2", "nape", "4"),
    ]
    drawn = [path.read_text() for path in (pack / "sheets/1").glob("head-*.svg")]
    assert len(drawn) == 5
    assert all(svg.startswith("<svg") and "<style>" in svg for svg in drawn)
    entries = {path.name: path.read_bytes() for path in (pack / "record/entries").iterdir()}
    told = Entry.objects.filter(subject_type__in=["assessment.assessment", "assessment.signoff"])
    assert sorted(entries.values()) == sorted(bytes(entry.canonical) for entry in told)


def test_names_and_words_are_in_the_sheet_and_in_no_entry(pack: Path) -> None:
    entries = b"".join(path.read_bytes() for path in (pack / "record/entries").iterdir())
    assert b"Tamsin" not in entries
    assert b"gloves" not in entries
    assert "gloves changed between tasks" in (pack / "sheets/1/sheet.json").read_text()


def test_the_check_that_is_packed_finds_nothing_wrong(pack: Path) -> None:
    done = checked(pack)
    assert done.returncode == 0, done.stdout + done.stderr
    assert f"in their checkpoints: {len(list((pack / 'record/entries').iterdir()))}." in done.stdout
    assert "newest only added to: 1." in done.stdout


@pytest.mark.parametrize(
    "name",
    ["sheets/1/sheet.json", "record/entries", "record/proofs", "record/checkpoints", "added"],
)
def test_the_check_finds_what_was_changed_even_where_the_list_was_made_again(
    pack: Path, name: str
) -> None:
    path = pack / name
    if name == "added":
        path.write_text("a file that nobody packed")
    else:
        path = path if path.is_file() else min(path.glob("*.json"))
        path.write_bytes(path.read_bytes().replace(b"4", b"5").replace(b"a", b"b", 1))
    assert checked(pack).returncode == 1
    if not shutil.which("openssl"):
        missing("No openssl to find a list of sums that was made again.")
    names = [p for p in pack.rglob("*") if p.is_file() and not p.name.startswith("SHA256SUMS")]
    sums = subprocess.run(
        ["sha256sum", *(str(p.relative_to(pack)) for p in sorted(names))],
        cwd=pack,
        capture_output=True,
        check=True,
    )
    (pack / "SHA256SUMS").write_bytes(sums.stdout)
    done = checked(pack)
    assert done.returncode == 1
    assert done.stdout.startswith("WRONG: ")


def test_the_commands_it_prints_work_as_they_stand(pack: Path) -> None:
    for tool in ("openssl", "sha256sum"):
        if not shutil.which(tool):
            missing(f"No {tool} to try the printed commands with.")
    lines = (pack / "README.txt").read_text().splitlines()
    commands = [line[2:] for line in lines if line.startswith("$ ")]
    assert len(commands) == 5
    said = [
        subprocess.run(
            ["sh", "-c", command.replace("python3 ", f"{sys.executable} ")],
            cwd=pack,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for command in commands
    ]
    assert said[1] == said[2] == "Signature Verified Successfully\n"
    proof = json.loads(min((pack / "record/proofs").iterdir()).read_text())
    assert said[3].split()[0] == proof["leaf"]
    assert "The signatures hold." in said[4]


def test_a_checkpoint_is_made_where_none_covers_the_decision(
    signed_in: SignedIn, verifier: Person, decision: SignOff
) -> None:
    assert not Checkpoint.objects.exists()
    asked(signed_in(verifier), decision)
    assert Checkpoint.objects.get().size == Entry.objects.count()


def test_the_apprentice_gets_their_own_without_what_is_said_among_staff(
    signed_in: SignedIn, apprentice: Person, decision: SignOff
) -> None:
    archive = asked(signed_in(apprentice), decision)
    said = json.loads(archive.read("decision.json"))
    assert "text" not in said["sign_offs"][0]["verifications"][0]
    assert any(name.startswith("sheets/1/head-") for name in archive.namelist())


@pytest.fixture
def looked_at(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    make_member: Callable[..., Person],
) -> SignOff:
    """A sign-off on a head that a second assessor looked at, given to them by the educator."""
    version = publish(academy, educator, "hygiene")
    second = make_member(Role.ASSESSOR, name="Joren Pask")
    head = judged_head(version, assessor, apprentice, drawn=True)
    assign_second_mark(first=head, assessor=second, by=educator)
    second_mark(head, second, level=4)
    return sign_on(version, assessor, apprentice)


def test_an_apprentice_is_not_told_who_looked_and_what_is_packed_still_fits(
    signed_in: SignedIn, apprentice: Person, verifier: Person, looked_at: SignOff, tmp_path: Path
) -> None:
    make_checkpoint(looked_at.academy_id)
    upheld(looked_at, verifier)
    whole = unpacked(asked(signed_in(verifier), looked_at), tmp_path / "whole")
    theirs = unpacked(asked(signed_in(apprentice), looked_at), tmp_path / "theirs")
    assert "gave the second mark" in (whole / "history.csv").read_text()
    files = [path for path in theirs.rglob("*") if path.is_file()]
    assert [str(path) for path in files if b"Joren Pask" in path.read_bytes()] == []
    for folder in (whole, theirs):
        done = checked(folder)
        assert done.returncode == 0, done.stdout + done.stderr
    kept = {path.name for path in (theirs / "record/entries").iterdir()}
    everything = {path.name for path in (whole / "record/entries").iterdir()}
    assert kept < everything
    assert {path.name for path in (theirs / "record/proofs").iterdir()} == kept
    said = b"".join(path.read_bytes() for path in (theirs / "record/entries").iterdir())
    assert b"assessment.second." not in said
    assert b"assessment.assessment.submitted" in said


def test_a_pack_of_a_head_that_was_opened_again_says_so(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    """Asked for while it stood; the apprentice appealed before the worker came to it."""
    head = judged_head(publish(academy, educator, "hygiene"), assessor, apprentice, level=1)
    pack = EvidencePack.objects.create(
        academy=academy,
        about=EvidencePack.About.ASSESSMENT,
        subject_id=head.pk,
        asked_by=apprentice,
    )
    appeal(assessment=head, apprentice=apprentice, text="The gloves were on.")
    build_pack(pack.pk)
    pack.refresh_from_db()
    assert not pack.file
    assert pack.trouble.startswith("Somebody looks at this head again")


def test_the_tree_of_a_checkpoint_is_read_once_for_all_its_entries(
    signed_in: SignedIn,
    verifier: Person,
    decision: SignOff,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    read: list[int] = []

    def counted(academy_id: int, size: int) -> Tree:
        read.append(size)
        return tree_at(academy_id, size)

    monkeypatch.setattr(proofs, "tree_at", counted)
    make_checkpoint(decision.academy_id)
    upheld(decision, verifier)
    archive = asked(signed_in(verifier), decision)
    assert sum(name.startswith("record/entries/") for name in archive.namelist()) > 2
    assert len(read) == len(set(read)) == 2


def test_a_pack_is_for_the_one_who_asked_alone(
    signed_in: SignedIn, verifier: Person, manager: Person, decision: SignOff
) -> None:
    asked(signed_in(verifier), decision)
    address = f"/larkmere/evidence/sign-off/{decision.token}/pack.zip"
    assert signed_in(verifier).get(address).status_code == 200
    assert signed_in(manager).get(address).status_code == 404


def test_a_sheet_and_a_certificate_have_packs_too(
    signed_in: SignedIn, manager: Person, decision: SignOff
) -> None:
    sheet = decision.assessments.get()
    browser = signed_in(manager)
    address = f"/larkmere/evidence/assessment/{sheet.token}/"
    assert "ready" in browser.post(address, follow=True).content.decode()
    assert browser.get(f"/larkmere/evidence/certificate/{sheet.token}/").status_code == 404
    assert browser.get(f"/larkmere/evidence/nothing/{sheet.token}/").status_code == 404


def test_packs_are_forgotten_after_a_month(
    signed_in: SignedIn, verifier: Person, decision: SignOff
) -> None:
    asked(signed_in(verifier), decision)
    row = EvidencePack.objects.get()
    kept = Path(row.file.path)
    assert row.job is not None
    assert Job.objects.filter(pk=row.job.pk).exists()
    forget_packs()
    assert kept.exists()
    EvidencePack.objects.update(asked_at=timezone.now() - timedelta(days=31))
    forget_packs()
    assert not kept.exists()
    assert not EvidencePack.objects.exists()
