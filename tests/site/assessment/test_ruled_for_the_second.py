"""A verifier ruled that the second mark stands: the apprentice reads that one and its feedback."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from academy.assessment.queries import place_of
from academy.assessment.results import conditions
from academy.assessment.services.printing import ask_result_print
from academy.assessment.tasks import result_html
from academy.web import tasks
from tests.site.making import RULED, full_boxes, judged_head, ruled_second

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.boxes import Boxes
    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

FIRSTS, SECONDS = "left the gloves off", "gloves changed between tasks"
Url = Callable[..., str]


def thin(boxes: Boxes) -> Boxes:
    """Two boxes of the four."""
    return replace(boxes, why="", next_on=None)


@pytest.fixture
def ruled(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
) -> Callable[..., Assessment]:
    """`ruled(decision, first=…, second=…)`: a not yet and a competent, each with its boxes."""

    def marks(
        decision: str = "second", *, first: Boxes | None = None, second: Boxes | None = None
    ) -> Assessment:
        boxes = first or replace(full_boxes(), seen_what=FIRSTS)
        head = judged_head(
            version, assessor, apprentice, level=1, overall=1, boxes=boxes, drawn=True
        )
        return ruled_second(head, colleague, verifier, decision=decision, boxes=second)

    return marks


def sheet(browser: Client, url: Url, head: Assessment) -> str:
    return browser.get(url("result-detail", token=head.token)).content.decode()


@pytest.mark.parametrize(
    ("decision", "read", "kept"), [("second", SECONDS, FIRSTS), ("first", FIRSTS, SECONDS)]
)
def test_the_apprentice_reads_the_feedback_of_the_mark_that_stands(
    ruled: Callable[..., Assessment],
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Url,
    decision: str,
    read: str,
    kept: str,
) -> None:
    page = sheet(signed_in(apprentice), url, ruled(decision))
    assert read in page
    assert kept not in page


def test_rating_and_assessor_on_it_are_those_of_that_mark_without_a_name(
    ruled: Callable[..., Assessment],
    apprentice: Person,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Url,
) -> None:
    page = sheet(signed_in(apprentice), url, ruled())
    assert "5, very good" in page
    assert "<dd>A second assessor</dd>" in page
    assert assessor.name not in page
    assert "Joren Pask" not in page


def printed(head: Assessment, reader: Person, monkeypatch: pytest.MonkeyPatch) -> str:
    """The words of the sheet that goes to the press, one space between them."""
    monkeypatch.setattr(tasks, "_deliver", lambda *_, **__: None)
    made = result_html(ask_result_print(assessment=head, by=reader))
    return " ".join(re.sub(r"<style.*?</style>|<[^>]+>", " ", made, flags=re.DOTALL).split())


def test_on_paper_the_apprentice_reads_the_same_mark(
    ruled: Callable[..., Assessment], apprentice: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = printed(ruled(), apprentice, monkeypatch)
    for said in ("Competent", "Head mark 100.0", "A second assessor", "5, very good", RULED):
        assert said in words
    assert SECONDS in words
    for kept in ("gloves on must reach 3", "25.0", FIRSTS, "Joren Pask", "Two marks"):
        assert kept not in words


def test_on_paper_staff_read_this_mark_beside_the_other_and_the_ruling(
    ruled: Callable[..., Assessment], verifier: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = printed(ruled(), verifier, monkeypatch)
    assert "gloves on must reach 3" in words
    assert "They differ. Ruled: the second mark stands." in words
    for said in (RULED, FIRSTS, "Joren Pask 100.0 competent 5, very good"):
        assert said in words


def test_staff_read_on_each_sheet_the_feedback_that_was_given_with_it(
    ruled: Callable[..., Assessment],
    verifier: Person,
    signed_in: Callable[[Person], Client],
    url: Url,
) -> None:
    head, browser = ruled(), signed_in(verifier)
    assert FIRSTS in sheet(browser, url, head)
    assert head.second is not None
    assert SECONDS in sheet(browser, url, head.second)


@pytest.mark.parametrize(("first_whole", "met"), [(True, False), (False, True)])
def test_a_sign_off_counts_the_boxes_of_the_mark_that_stands(
    ruled: Callable[..., Assessment],
    version: ModuleVersion,
    apprentice: Person,
    assessor: Person,
    first_whole: bool,
    met: bool,
) -> None:
    whole = full_boxes()
    ruled(first=whole if first_whole else thin(whole), second=thin(whole) if first_whole else whole)
    evidence = place_of(version.academy, apprentice, version).evidence
    found = {one.key: one for one in conditions(evidence, assessor.pk)}["feedback"]
    assert found.met is met


def test_who_gave_that_mark_is_led_to_fill_its_boxes(
    ruled: Callable[..., Assessment],
    version: ModuleVersion,
    apprentice: Person,
    colleague: Person,
    signed_in: Callable[[Person], Client],
    url: Url,
) -> None:
    head = ruled(second=thin(full_boxes()))
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    assert head.second is not None
    assert (
        url("feedback-correct", token=head.second.token)
        in signed_in(colleague).get(at).content.decode()
    )
