"""While a second assessor looks, the apprentice reads that, and neither marks nor levels."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from django.test import Client
from django.urls import reverse

from academy.assessment.models import Assessment
from academy.assessment.services.printing import ask_result_print
from academy.assessment.tasks import result_html
from academy.people.models import Academy, Person
from academy.web import tasks
from tests.site.making import judged_head, publish, second_mark

if TYPE_CHECKING:
    import pytest

SignedIn = Callable[[Person], Client]
WAITS = "Needs a second assessor"


def test_the_apprentice_reads_that_somebody_looks_and_not_at_what(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person, signed_in: SignedIn
) -> None:
    """All levels at 3 are 75 of 100, but a rating of "just below" asks for a second look."""
    head = judged_head(
        publish(academy, educator, "foils"), assessor, apprentice, level=3, overall=2
    )
    url = f"/larkmere/assessment/results/{head.token}/"
    theirs = signed_in(apprentice).get(url).content.decode()
    assert "Being looked at by a second assessor" in theirs
    assert "Levels given" not in theirs
    assert "The head mark is" not in theirs
    assert ", level 3" not in theirs
    assert '<dd class="big">75' not in theirs
    own = signed_in(assessor).get(url).content.decode()
    assert "The head mark is 75" in own
    assert f"<strong>{WAITS}</strong>" in own


def test_page_paper_and_explanation_say_to_staff_in_the_same_words_what_it_waits_for(
    academy: Academy,
    educator: Person,
    assessor: Person,
    colleague: Person,
    verifier: Person,
    apprentice: Person,
    signed_in: SignedIn,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    version = publish(academy, educator, "foils")
    head = judged_head(version, assessor, apprentice, level=3, overall=2)
    browser = signed_in(verifier)
    monkeypatch.setattr(tasks, "_deliver", lambda *_, **__: None)

    def said() -> list[str]:
        sheet = f"/larkmere/assessment/results/{head.token}/"
        explained = reverse("assessment:explained", args=[academy.slug, head.token])
        row = Assessment.objects.get(pk=head.pk)
        pages = [browser.get(at).content.decode() for at in (sheet, explained)]
        pages.append(result_html(ask_result_print(assessment=row, by=verifier)))
        titles = [re.search(r"<h1>(.*?)</h1>", page, re.DOTALL) for page in pages]
        return [re.sub(r"<[^>]+>", "", title[1]).strip() for title in titles if title]

    assert said() == [
        WAITS,
        f"{WAITS}: every step, with the figures of this head",
        WAITS,
    ]
    second_mark(head, colleague, level=1)
    assert [title.split(":")[0] for title in said()] == ["Waits for a ruling"] * 3
