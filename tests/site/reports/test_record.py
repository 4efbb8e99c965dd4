"""The record in sentences, found by person and kind, verified from the page."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from academy.assessment.models import SignOff
from academy.audit import triggers
from academy.audit.checkpoints import make_checkpoint
from academy.audit.models import Checkpoint, Entry, RecordCheck
from academy.craft.proof.merkle import consistent
from academy.people.models import Academy, Person
from academy.web.days import written
from academy.web.models import Job
from tests.conftest import missing
from tests.site.making import publish, signed_off

SignedIn = Callable[[Person], Client]


@pytest.fixture
def signed(academy: Academy, educator: Person, assessor: Person, apprentice: Person) -> None:
    signed_off(publish(academy, educator, "hygiene"), assessor, apprentice)


def test_a_sign_off_reads_as_a_sentence(
    signed_in: SignedIn, verifier: Person, signed: None
) -> None:
    page = signed_in(verifier).get("/larkmere/record/").content.decode()
    assert "Dilys Okafor-Reed gave the sign-off of Tamsin Orle in The hygiene module" in page


def test_it_narrows_to_a_person_and_a_kind(
    signed_in: SignedIn, manager: Person, educator: Person, signed: None
) -> None:
    browser = signed_in(manager)
    query = {"person": educator.token, "kind": "curriculum."}
    page = browser.get("/larkmere/record/", query).content.decode()
    assert "Maren Tolvey published" in page
    assert "gave the sign-off" not in page


def test_a_whole_record_holds(signed_in: SignedIn, manager: Person, signed: None) -> None:
    page = signed_in(manager).post("/larkmere/record/verify/", follow=True).content.decode()
    assert "The record holds." in page


def test_a_changed_entry_is_named(signed_in: SignedIn, manager: Person, signed: None) -> None:
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE audit_entry SET actor_id = 999999 WHERE sequence = 2")
    triggers.install()
    page = signed_in(manager).post("/larkmere/record/verify/", follow=True).content.decode()
    assert "The record is broken</span> at entry 2" in page


def test_a_broken_record_is_told_where_the_day_begins_and_outside_until_it_holds_again(
    signed_in: SignedIn, client: Client, academy: Academy, manager: Person, signed: None
) -> None:
    manages = signed_in(manager)
    newest = make_checkpoint(academy.pk)
    asked = {"size": str(newest.size), "root": newest.root_hex}

    def told() -> list[bool]:
        today = manages.get("/larkmere/").content.decode()
        outside = client.get("/r/larkmere/", asked).content.decode()
        assert "In this record" in outside
        return ["The record is broken" in today, "found it changed or cut" in outside]

    def put(actor: int, which: str) -> None:
        triggers.remove()
        with connection.cursor() as cursor:
            cursor.execute("UPDATE audit_entry SET actor_id = %s WHERE sequence = 2", [actor])
        triggers.install()
        manages.post("/larkmere/record/verify/", {"which": which})

    actor = Entry.objects.get(sequence=2).actor_id
    assert actor is not None
    assert told() == [False, False]
    put(999999, "whole")
    assert told() == [True, True]
    # A check of nothing but what is new says nothing about the old.
    manages.post("/larkmere/record/verify/", {"which": "new"})
    assert told() == [True, True]
    put(actor, "whole")
    assert told() == [False, False]


def test_apprentices_and_assessors_do_not_read_it(
    signed_in: SignedIn, apprentice: Person, assessor: Person
) -> None:
    for person in (apprentice, assessor):
        assert signed_in(person).get("/larkmere/record/").status_code == 403


def test_a_broken_record_says_what_is_in_doubt_by_kind_and_token(
    signed_in: SignedIn, manager: Person, signed: None
) -> None:
    row = SignOff.objects.get()
    entry = Entry.objects.get(action="assessment.signoff.given")
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE audit_entry SET about_id = 999999 WHERE id = %s", [entry.pk])
    triggers.install()
    page = signed_in(manager).post("/larkmere/record/verify/", follow=True).content.decode()
    assert f'Entry <span class="num">{entry.sequence}</span> cannot be relied on.' in page
    assert "The sign-off of Tamsin Orle in The hygiene module" in page
    assert row.token in page


def test_only_what_is_new_is_verified_where_that_was_asked(
    signed_in: SignedIn, manager: Person, educator: Person, academy: Academy, signed: None
) -> None:
    make_checkpoint(academy.pk)
    browser = signed_in(manager)
    asked: dict[str, Any] = {"data": {"which": "new"}, "follow": True}
    page = browser.post("/larkmere/record/verify/", **asked)
    assert "Nothing is new" in page.content.decode()
    publish(academy, educator, "slices")
    new = Entry.objects.filter(academy_id=academy.pk).count() - Checkpoint.objects.get().size
    assert new > 0
    page = browser.post("/larkmere/record/verify/", **asked)
    assert f"{new}</span> new entries verified to the last byte." in page.content.decode()


def test_it_is_signed_on_demand_and_shows_the_newest_checkpoint(
    signed_in: SignedIn, verifier: Person, signed: None
) -> None:
    page = signed_in(verifier).post("/larkmere/record/sign/", follow=True).content.decode()
    assert Checkpoint.objects.get().root_hex in page


def test_while_a_check_runs_the_page_asks_again(
    signed_in: SignedIn, manager: Person, academy: Academy, signed: None
) -> None:
    job = Job.objects.create(key="x", task="x", asked_at=timezone.now(), state="running")
    RecordCheck.objects.create(academy_id=academy.pk, whole=True, last=40, done=10, job=job)
    browser = signed_in(manager)
    page = browser.get("/larkmere/record/").content.decode()
    assert 'hx-trigger="every 2s"' in page
    assert '<span class="num">10</span> of <span class="num">40</span> entries' in page
    part = browser.get("/larkmere/record/", headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="check"')


PUBLIC = "/r/larkmere/"


def test_a_papers_root_is_looked_up_by_anyone(academy: Academy, signed: None) -> None:
    made = make_checkpoint(academy.pk)
    printed = made.root_hex[:20].upper()
    spaced = f"{printed[:4]} {printed[4:]}"
    page = Client().get(PUBLIC, {"size": str(made.size), "root": spaced}).content.decode()
    assert "<strong>In this record</strong>" in page
    for size, root in ((made.size, "ab" * 16), (made.size + 1, printed)):
        page = Client().get(PUBLIC, {"size": str(size), "root": root}).content.decode()
        assert "<strong>Not in this record</strong>" in page
    page = Client().get(PUBLIC, {"size": str(made.size), "root": "short"}).content.decode()
    assert "Type at least 16 digits of the root" in page
    assert 'value="short"' in page


def test_a_checkpoint_that_was_put_in_by_hand_is_not_taken_for_signed(
    academy: Academy, signed: None
) -> None:
    made = make_checkpoint(academy.pk)
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE audit_checkpoint SET root = %s", [bytes.fromhex("ab" * 32)])
    triggers.install()
    page = Client().get(PUBLIC, {"size": str(made.size), "root": "ab" * 16}).content.decode()
    assert "its signature does not hold" in page


def test_the_files_outside_verify_with_openssl_and_hold_nothing_personal(
    academy: Academy, signed: None, tmp_path: Path
) -> None:
    made, browser = make_checkpoint(academy.pk), Client()
    names = [f"checkpoint-{made.size}.json", f"checkpoint-{made.size}.sig"]
    for name in names:
        (tmp_path / name).write_bytes(browser.get(PUBLIC + name).content)
    key = f"key-{made.key.key}.pem"
    (tmp_path / key).write_bytes(browser.get(f"/r/{key}").content)
    page = browser.get(PUBLIC).content.decode()
    found = re.search(r"<code[^>]*>(openssl .*)</code>", page)
    assert found is not None
    if not shutil.which("openssl"):
        missing("No openssl to try the printed command with.")
    done = subprocess.run(
        found[1].split(), cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.stdout == "Signature Verified Successfully\n", done.stderr
    everything = browser.get(PUBLIC + "checkpoints.json").content.decode()
    assert [row["statement"]["size"] for row in json.loads(everything)["checkpoints"]] == [
        made.size
    ]
    assert "Tamsin" not in everything + page


def test_growth_between_two_kept_checkpoints_can_be_proved_from_outside(
    academy: Academy, educator: Person, signed: None
) -> None:
    old = make_checkpoint(academy.pk)
    publish(academy, educator, "mixing")
    new = make_checkpoint(academy.pk)
    said = Client().get(f"{PUBLIC}consistency-{old.size}-{new.size}.json").json()
    assert consistent(
        old_size=old.size,
        new_size=new.size,
        old_root=bytes(old.root),
        new_root=bytes(new.root),
        proof=[bytes.fromhex(step) for step in said["proof"]],
    )
    assert Client().get(f"{PUBLIC}consistency-{new.size}-{old.size}.json").status_code == 404


def test_the_public_page_tells_days_and_times_of_the_academy(
    client: Client, academy: Academy, signed: None
) -> None:
    Academy.objects.filter(pk=academy.pk).update(time_zone="Pacific/Auckland")
    made = make_checkpoint(academy.pk)
    there = timezone.localtime(made.made_at, ZoneInfo("Pacific/Auckland"))
    assert f"{written(there.date())}, {there:%H:%M}" in client.get(PUBLIC).content.decode()
