"""The page that explains an outcome step by step, and decides it again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.db import connection

from academy.assessment.explained import Explained
from academy.assessment.models import Assessment
from academy.assessment.services.submitting import submit
from academy.audit import triggers
from academy.craft.judging.marking import SecondCause
from tests.site.making import draft_head, full_boxes, judged_head, mark_all

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


@pytest.fixture
def read(
    signed_in: Callable[[Person], Client], url: Callable[..., str]
) -> Callable[[Person, Assessment], str]:
    def words(person: Person, assessment: Assessment) -> str:
        answer = signed_in(person).get(url("explained", token=assessment.token))
        return answer.content.decode() if answer.status_code == 200 else str(answer.status_code)

    return words


def tampered(sql: str) -> None:
    """Change a row behind the program's back, with the triggers off."""
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute(sql)


def test_each_of_the_ten_steps_is_there_with_the_figures_of_this_head(
    submitted: Assessment, assessor: Person, apprentice: Person, read: Callable[..., str]
) -> None:
    for person in (assessor, apprentice):
        words = read(person, submitted)
        for number in range(1, 11):
            assert f"<b>{number} " in words
        assert "100 × (1 × 4 + 2 × 4) / 12 = 100" in words
        assert "Decides: competent." in words


def test_it_says_that_it_comes_out_the_same_byte_for_byte(
    submitted: Assessment, assessor: Person, read: Callable[..., str]
) -> None:
    words = read(assessor, submitted)
    assert "The same, byte for byte." in words
    row = Assessment.objects.for_result().get(pk=submitted.pk)
    check = Explained(row).check
    assert check is not None
    assert f"{check.size} bytes compared" in words


@pytest.mark.parametrize(
    ("sql", "where"),
    [
        ("UPDATE assessment_mark SET level = 1", "levels"),
        ("UPDATE assessment_outcome SET by_marks = 'not_yet'", "by the marks"),
        ("UPDATE assessment_assessment SET overall = 1", "overall rating"),
    ],
)
def test_a_changed_row_stands_there_in_red_with_what_to_do(
    submitted: Assessment, assessor: Person, read: Callable[..., str], sql: str, where: str
) -> None:
    tampered(sql)
    words = read(assessor, submitted)
    assert "Not the same." in words
    assert f'<th scope="row">{where}</th>' in words
    assert "Sign nothing off on this head." in words


def test_changed_figures_are_found_by_deciding_again(
    submitted: Assessment, assessor: Person, read: Callable[..., str]
) -> None:
    column = "figures::text" if connection.vendor == "postgresql" else "figures"
    cast = "::jsonb" if connection.vendor == "postgresql" else ""
    changed = f"replace({column}, '\"decided_by\": 7', '\"decided_by\": 3'){cast}"
    tampered(f"UPDATE assessment_outcome SET figures = {changed}")  # noqa: S608
    assert "outcome.decided_by" in read(assessor, submitted)


def test_another_apprentice_finds_nothing(
    submitted: Assessment, make_member: Callable[..., Person], read: Callable[..., str]
) -> None:
    assert read(make_member("apprentice"), submitted) == "404"


def test_the_apprentice_reads_it_once_the_result_is_theirs_to_see(
    version: ModuleVersion, assessor: Person, apprentice: Person, read: Callable[..., str]
) -> None:
    head = draft_head(version, assessor, apprentice)
    mark_all(head, level=4, overall=4)
    submit(assessment=head, by=assessor, points=[full_boxes()], asked_for=[SecondCause.SAMPLE])
    assert read(apprentice, head) == "404"
    assert "Decides: competent." in read(assessor, head)


def test_the_result_sheet_leads_to_it(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    head = judged_head(version, assessor, apprentice, level=1, overall=2)
    for person in (assessor, apprentice):
        words = signed_in(person).get(url("result-detail", token=head.token)).content.decode()
        assert url("explained", token=head.token) in words
        assert url("again", person=apprentice.token, module=version.module.token) in words
        assert (url("appeal-new", token=head.token) in words) == (person == apprentice)
