"""Every outcome of the played demo is decided again from what is stored with it (trade.md 5.1)."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from hashlib import sha256

from django.db import connection

from academy.assessment.explained import Explained
from academy.assessment.models import Assessment
from academy.assessment.services.ruling import rule
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import withdraw
from academy.audit import triggers
from academy.audit.models import Entry
from academy.craft.judging.stored import recomputed
from academy.craft.proof.canonical import canonical
from academy.people.models import Academy, Person
from tests.site.making import full_boxes, mark_all

Find = Callable[[str], Person]


def submitted(academy: Academy) -> list[Explained]:
    rows = Assessment.objects.for_result().filter(academy=academy, state="submitted")
    return [Explained(row) for row in rows.order_by("pk")]


def kinds(row: Explained) -> list[str]:
    """What sort of outcome this is, in the words that the tests below count."""
    head = row.assessment
    ruled = getattr(head.second_of or head, "ruling", None)
    found = {
        head.kind: True,
        row.values["outcome"]["by_marks"]: True,
        "partial": row.values["marking"].get("partial", False),
        "stopped": bool(row.values["marking"]["stops"]),
        "withdrawn": head.withdrawn,
        "ruled on": ruled is not None,
    }
    return [name for name, there in found.items() if there]


def told_sums(academy: Academy) -> dict[int, str]:
    """The sum of each outcome's figures, as its entry in the record tells it."""
    entries = Entry.objects.filter(
        academy_id=academy.pk, action="assessment.assessment.submitted"
    ).order_by("pk")
    told = [json.loads(bytes(entry.canonical)) for entry in entries]
    return {entry["subject"][1]: entry["details"]["figures"] for entry in told}


def wrong_ones(rows: list[Explained], sums: dict[int, str]) -> list[int]:
    """Those that come out in other bytes, say something else in their rows, or in the record."""
    return [
        row.assessment.pk
        for row in rows
        if canonical(recomputed(row.values)) != canonical(row.values)
        or row.rows_differ
        or sums[row.assessment.pk] != sha256(canonical(row.values)).hexdigest()
    ]


def test_every_outcome_of_the_demo_is_recomputed_byte_for_byte(demo_academy: Academy) -> None:
    rows = submitted(demo_academy)
    assert wrong_ones(rows, told_sums(demo_academy)) == []
    count = Counter(kind for row in rows for kind in kinds(row))
    assert (count["first"], count["second"]) == (170, 18)
    assert count["competent"] + count["not_yet"] == len(rows)
    assert len(rows) == 170 + 18 + count["standardisation"]
    assert count["partial"] >= 1
    assert count["stopped"] == 1


def test_so_are_those_that_are_withdrawn_and_ruled_on(demo_academy: Academy, person: Find) -> None:
    head = Assessment.objects.get(academy=demo_academy, state="draft")
    mark_all(head, level=3, overall=4)
    submit(assessment=head, by=head.assessor, points=[full_boxes()])
    head.refresh_from_db()
    withdraw(assessment=head, by=head.assessor, reason="Levels of another head.")
    first = Assessment.objects.for_result().get(
        apprentice=person("Priyanka"), module_version__module__key="lightener", kind="first"
    )
    assert first.second is not None
    decision = {"decision": "second", "reason": "The photo of the nape."}
    rule(first=first, second=first.second, verifier=person("Ines"), **decision)
    rows = submitted(demo_academy)
    assert wrong_ones(rows, told_sums(demo_academy)) == []
    count = Counter(kind for row in rows for kind in kinds(row))
    # One of each is the demo's own.
    assert (count["withdrawn"], count["ruled on"]) == (2, 2)


def test_one_level_changed_behind_the_site_is_found_among_all(demo_academy: Academy) -> None:
    row = submitted(demo_academy)[100]
    mark = row.assessment.marks.all()[0]
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE assessment_mark SET level = %s WHERE id = %s", [(mark.level + 1) % 5, mark.pk]
        )
    assert wrong_ones(submitted(demo_academy), told_sums(demo_academy)) == [row.assessment.pk]
