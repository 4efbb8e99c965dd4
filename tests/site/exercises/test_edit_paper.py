"""A paper that nobody has begun may be changed; a paper like another begins with other numbers."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper, PaperPart, Question
from academy.exercises.queries.printed import paper_pages
from academy.exercises.seeds import seed_words
from academy.exercises.services import Wanted
from academy.exercises.services.keeping import questions_of
from academy.web.tokens import new_token
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Cohort, Person

NEW = "/larkmere/exercises/new/"


@pytest.fixture
def client(signed_in: Callable[[Person], Client], educator: Person) -> Client:
    return signed_in(educator)


def address(name: str, paper: Paper) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": paper.token})


def changed(paper: Paper, by: Person, **fields: Any) -> Paper:
    given = {"title": paper.title, "parts": [QUANTITIES], "seed": 7, **fields}
    wanted = Wanted(**{"cohort": paper.cohort, **given})
    return services.edit_paper(paper=paper, by=by, wanted=wanted, edition=paper.edition)


def sent(page: str, paper: Paper) -> dict[str, str]:
    """What the form of a paper posts when nothing is typed."""
    edition = re.search(r'name="edition" value="(\d+)"', page)
    assert edition, "the form names no edition"
    return {
        "cohort": paper.cohort.token,
        "title": "Changed",
        "kind": "practice",
        "numbers": "own",
        "pass_share": "80",
        "seed": "0000-0007",
        "key": new_token(),
        "edition": edition[1],
        "row": "0",
        "part-0-family": "mixing-ratio-quantities",
        "part-0-level": "working",
        "part-0-count": "2",
    }


def test_a_changed_paper_asks_its_new_questions_and_only_these(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = changed(set_paper(parts=[DILUTE, WHITE]), educator, title="Bowls")
    assert (paper.edition, paper.title) == (2, "Bowls")
    assert [part.family for part in paper.parts.all()] == ["mixing-ratio-quantities"]
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    assert [(row.edition, row.family) for row in questions_of(sheet)] == [
        (2, "mixing-ratio-quantities")
    ]
    assert Question.objects.filter(paper=paper, edition=1).count() == 2


def test_prints_and_the_key_hold_the_questions_of_the_edition(
    learner: Person, educator: Person, client: Client, set_paper: SetPaper
) -> None:
    before = set_paper(parts=[DILUTE])
    old = before.questions.get().question.text
    paper = changed(before, educator)
    new = paper.questions.get(edition=2).question.text
    preview = client.get(address("paper-preview", paper)).text
    assert (new in preview, old in preview) == (True, False)
    printed = " ".join(paper_pages(paper, what="papers"))
    assert (new in printed, old in printed) == (True, False)


def test_questions_that_nobody_saw_do_not_count_as_seen(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE], seed=7)
    first = paper.questions.get().identity
    again = changed(paper, educator, parts=[DILUTE], seed=7)
    assert again.questions.get(edition=2).identity == first


def test_a_paper_that_somebody_began_stays(
    learner: Person, educator: Person, client: Client, set_paper: SetPaper
) -> None:
    paper = set_paper()
    services.start_sheet(paper=paper, apprentice=learner)
    with pytest.raises(PaperError, match="has begun"):
        changed(paper, educator)
    answer = client.get(address("paper-edit", paper), follow=True)
    assert "Somebody has begun this paper" in answer.text
    assert Paper.objects.get().edition == 1


def test_a_withdrawn_paper_stays(educator: Person, set_paper: SetPaper) -> None:
    paper = services.withdraw_paper(paper=set_paper(), by=educator)
    with pytest.raises(PaperError, match="withdrawn"):
        changed(paper, educator)


def test_what_another_changed_meanwhile_is_not_written_over(
    educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper()
    changed(paper, educator, title="By the other one")
    with pytest.raises(PaperError, match="Somebody changed"):
        changed(paper, educator, title="Too late")
    assert Paper.objects.get().title == "By the other one"


def test_a_beginning_after_a_change_uses_the_stored_paper_not_the_one_in_hand(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    stale = set_paper(parts=[DILUTE])
    changed(stale, educator)
    sheet = services.start_sheet(paper=stale, apprentice=learner)
    assert questions_of(sheet)[0].edition == 2


def test_the_form_of_a_change_is_looked_at_first_and_sets_what_was_seen(
    learner: Person, client: Client, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE], seed=51907734)
    url = address("paper-edit", paper)
    page = client.get(url).text
    assert 'value="5190-7734"' in page
    form = sent(page, paper)
    seen = client.post(url, {**form, "act": "look"}).text
    looked = re.search(r'name="looked_at" value="([0-9a-f]{64})"', seen)
    assert looked
    assert Paper.objects.get().edition == 1
    ready = {**form, "looked_at": looked[1], "act": "set"}
    client.post(url, ready)
    client.post(url, ready)
    stored = Paper.objects.get()
    assert (stored.edition, stored.title) == (2, "Changed")
    for row in stored.questions.filter(edition=2):
        assert row.question.text in seen


def test_changing_writes_one_entry_in_a_readable_sentence(
    educator: Person, set_paper: SetPaper
) -> None:
    changed(set_paper(), educator)
    entries = Entry.objects.filter(action="exercises.paper.changed")
    assert [line.sentence for line in render(entries)] == [
        "Maren Tolvey changed the paper \u201cDeveloper and bowl\u201d for Cohort 7, edition 2"
    ]


def test_a_paper_like_another_begins_with_all_but_its_seed_and_last_day(
    client: Client, cohort: Cohort, set_paper: SetPaper
) -> None:
    paper = set_paper(
        parts=[DILUTE, WHITE], kind="test", minutes=25, due_on=timezone.localdate(), pass_share=70
    )
    page = client.get(NEW, {"from": paper.token}).text
    assert 'value="Developer and bowl"' in page
    assert page.count('name="row"') == 2
    assert '<option value="cover-white-hair" selected>' in page
    assert f'<option value="{cohort.token}" selected>' in page
    assert re.search(r'name="minutes" value="25"', page)
    assert re.search(r'name="pass_share" value="70"', page)
    assert seed_words(paper.seed) not in page
    assert not re.search(r'name="due_on" value="[^"]', page)


def test_another_academys_paper_is_nothing_to_begin_with(
    client: Client, set_paper: SetPaper
) -> None:
    page = client.get(NEW, {"from": "x" * 22}).text
    assert page.count('name="row"') == 1


def test_parts_are_replaced_not_added(educator: Person, set_paper: SetPaper) -> None:
    changed(set_paper(parts=[DILUTE, WHITE]), educator)
    assert PaperPart.objects.count() == 1
