"""Where two assessors marked the same head, staff see both marks side by side."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.site.making import judged_head, second_mark

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
DIFFER = "They differ. Both stand as they are until a ruling."
DRAWN = "Drawn by the sample: a second assessor marks the same head."


@pytest.fixture
def first(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """A competent head that the sample drew."""
    return judged_head(version, assessor, apprentice, overall=5, drawn=True)


@pytest.fixture
def second(first: Assessment, colleague: Person) -> Assessment:
    """The same head seen by a colleague, who says not yet."""
    return second_mark(first, colleague, level=1, overall=1)


def test_a_verifier_sees_both_marks_from_either_sheet(
    first: Assessment,
    second: Assessment,
    verifier: Person,
    signed_in: SignedIn,
    url: Callable[..., str],
) -> None:
    sheets = [url("result-detail", token=row.token) for row in (first, second)]
    for own, other in (sheets, reversed(sheets)):
        page = signed_in(verifier).get(own).content.decode()
        assert DIFFER in page
        assert f'href="{other}"' in page
        assert "Joren Pask" in page
        assert "100.0" in page
        assert "25.0" in page


def test_the_apprentice_sees_no_second_mark_and_no_promise_of_blindness(
    first: Assessment,
    second: Assessment,
    apprentice: Person,
    signed_in: SignedIn,
    url: Callable[..., str],
) -> None:
    page = signed_in(apprentice).get(url("result-detail", token=first.token)).content.decode()
    assert "Another assessor looks at the same head. Levels and mark show here" in page
    assert DIFFER not in page
    assert "Joren Pask" not in page
    assert "without seeing" not in page


def test_a_single_mark_says_only_that_the_sample_drew_it(
    first: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    page = chair.get(url("result-detail", token=first.token)).content.decode()
    assert DRAWN in page
    assert "Two marks of this head" not in page


def test_a_head_the_sample_did_not_draw_does_not_say_so(
    submitted: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    assert DRAWN not in chair.get(url("result-detail", token=submitted.token)).content.decode()
