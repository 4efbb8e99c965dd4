"""A sheet is compared with the sums that the record holds since it was submitted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import StringIO
from typing import TYPE_CHECKING

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection

from academy.assessment.explained import Explained
from academy.assessment.models import Assessment, Mark, Outcome, Photo
from academy.assessment.submissions import compare_submissions
from academy.audit import triggers
from academy.audit.checking import newest_check, start_check
from academy.audit.verifying import verify_chain
from academy.craft.judging.outcome import outcome
from academy.craft.judging.stored import marking_from, reason_values, stored
from tests.site.making import judged_head

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

WHERE = "levels, rules or result are not those that entry"


@pytest.fixture
def head(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """A not yet."""
    return judged_head(version, assessor, apprentice, level=1, overall=4)


@pytest.fixture
def raised(head: Assessment) -> Assessment:
    """All levels raised behind the program's back, and an outcome that fits them."""
    triggers.remove()
    Mark._base_manager.filter(assessment=head).update(level=4)
    marking = marking_from(head.outcome.figures["marking"])
    marking = replace(marking, marks=dict.fromkeys(marking.marks, 4))
    result = outcome(marking)
    Outcome._base_manager.filter(assessment=head).update(
        figures=stored(marking, result),
        by_marks=result.by_marks.value,
        causes=[cause.value for cause in result.causes],
        second_needed=result.second_needed,
        reasons=[reason_values(reason) for reason in result.reasons],
        head_mark=result.head_mark,
    )
    triggers.install()
    return Assessment.objects.for_result().get(pk=head.pk)


def test_levels_raised_with_their_outcome_fit_each_other_but_not_the_record(
    raised: Assessment,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    explained = Explained(raised)
    assert raised.outcome.by_marks == "competent"
    assert explained.check is not None
    assert explained.check.same
    assert not explained.rows_differ
    assert verify_chain(raised.academy_id).broken is None
    assert not explained.same
    page = signed_in(assessor).get(url("explained", token=raised.token)).content.decode()
    assert "Not the same." in page
    assert "What is stored gives this outcome, but the record holds another." in page
    assert f"Compared with the record: {WHERE}" in page
    assert "Sign nothing off on this head." in page


def test_what_stands_as_submitted_is_as_recorded(head: Assessment) -> None:
    assert Explained(Assessment.objects.for_result().get(pk=head.pk)).same
    found = compare_submissions(head.academy_id)
    assert (found.count, found.unlike) == (1, ())


def test_a_photo_slipped_in_later_is_found(head: Assessment) -> None:
    triggers.remove()
    Photo._base_manager.bulk_create(
        [Photo(assessment=head, allowed="no_face", sha256="0" * 64, width=1, height=1)]
    )
    triggers.install()
    (row,) = compare_submissions(head.academy_id).unlike
    assert "the photos are not those that entry" in row.sentence


@pytest.mark.parametrize(
    ("sql", "words"),
    [
        (
            "UPDATE audit_entry SET subject_id = 9999 WHERE action LIKE '%%.submitted'",
            ["no entry of the record tells of its submission", "R009999: entry"],
        ),
        ("UPDATE assessment_assessment SET state = 'draft'", ["and it is gone"]),
    ],
)
def test_a_sheet_without_an_entry_and_an_entry_without_a_sheet_are_found(
    head: Assessment, sql: str, words: list[str]
) -> None:
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute(sql, [])
        assert cursor.rowcount == 1
    triggers.install()
    found = [row.sentence for row in compare_submissions(head.academy_id).unlike]
    assert len(found) == len(words)
    for said, expected in zip(found, words, strict=True):
        assert expected in said


def test_verify_record_compares_every_submitted_sheet_and_fails(head: Assessment) -> None:
    out = StringIO()
    call_command("verify_record", stdout=out)
    assert "larkmere: Submitted result sheets compared with the record: 1." in out.getvalue()


def test_verify_record_names_the_sheet_that_is_not_as_recorded(raised: Assessment) -> None:
    out = StringIO()
    with pytest.raises(CommandError, match="The record is not whole: larkmere"):
        call_command("verify_record", stdout=out)
    assert f"larkmere: Result sheet R{raised.pk:06d}: {WHERE}" in out.getvalue()


def test_the_record_page_says_that_the_chain_holds_and_the_sheet_does_not(
    raised: Assessment, verifier: Person, signed_in: Callable[[Person], Client]
) -> None:
    start_check(academy_id=raised.academy_id, asked_by_id=verifier.pk, whole=True)
    check = newest_check(raised.academy_id)
    assert check is not None
    assert not check.held
    page = signed_in(verifier).get("/larkmere/record/").content.decode()
    assert "The record is unbroken, but not everything is as it was recorded." in page
    assert f"R{raised.pk:06d}: {WHERE}" in page
    assert raised.token in page
