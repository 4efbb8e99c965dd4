"""A paper for many is drawn by a worker in shares: nothing twice, safe to kill and run again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse

from academy.craft.exercise.engine import Level
from academy.exercises import drawing, paper_tasks, services
from academy.exercises.services import PartWanted, Wanted, draws
from academy.exercises.services.draws import progress_of
from academy.exercises.services.keeping import questions_of
from academy.people.models import Cohort, Person, Role
from academy.web import tasks
from academy.web.models import JobState
from tests.site.exercises.conftest import QUANTITIES, SetPaper
from tests.site.factories import CohortPlaceFactory

if TYPE_CHECKING:
    from django.test import Client

    from academy.exercises.models import Paper, Question

TWO = PartWanted("dilute-a-developer", Level.WORKING, 2)


@pytest.fixture
def people(make_member: Callable[..., Person], cohort: Cohort) -> list[Person]:
    crowd = [make_member(Role.APPRENTICE, name=f"Learner {n}") for n in range(7)]
    for person in crowd:
        CohortPlaceFactory(cohort=cohort, person=person)
    return crowd


@pytest.fixture
def no_worker(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seven people with two questions are many, shares are of three, and nobody does the work."""
    monkeypatch.setattr(draws, "DRAW_AT_ONCE", 10)
    monkeypatch.setattr(draws, "SHARE", 3)
    monkeypatch.setattr(tasks, "_deliver", lambda *_: None)


def run(paper: Paper) -> None:
    paper_tasks.draw_questions(paper.pk, paper.edition)


def at(name: str, paper: Paper) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": paper.token})


def test_a_small_paper_is_drawn_at_once(people: list[Person], set_paper: SetPaper) -> None:
    paper = set_paper(parts=[TWO])
    assert paper.drawing is None
    assert paper.questions.count() == 14


def test_a_large_one_is_left_to_the_worker_and_drawn_once(
    people: list[Person], no_worker: None, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[TWO])
    assert (paper.questions.count(), progress_of(paper)) == (
        0,
        draws.Progress(0, 7, JobState.WAITING),
    )
    run(paper)
    first = set(paper.questions.values_list("pk", flat=True))
    run(paper)
    assert set(paper.questions.values_list("pk", flat=True)) == first
    assert len(first) == 14


def test_the_same_is_drawn_by_the_worker_as_at_once(
    people: list[Person], set_paper: SetPaper, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drawing, "seen_by", lambda people, *_, **__: {p: {} for p in people})
    sizes = (draws.DRAW_AT_ONCE, 10)
    drawn = []
    for size in sizes:
        monkeypatch.setattr(draws, "DRAW_AT_ONCE", size)
        paper = set_paper(parts=[TWO])
        assert (paper.drawing is None) == (size == sizes[0])
        drawn.append(set(paper.questions.values_list("apprentice", "position", "identity")))
    assert drawn[0] == drawn[1]


def test_killed_in_the_middle_and_run_again_everybody_has_theirs_once(
    people: list[Person], no_worker: None, set_paper: SetPaper, monkeypatch: pytest.MonkeyPatch
) -> None:
    paper = set_paper(parts=[TWO])
    honest, shares = drawing.draw_each, []

    def dies_in_the_second_share(paper: Paper, crowd: list[int]) -> list[Question]:
        shares.append(crowd)
        if len(shares) == 2:
            raise KeyboardInterrupt
        return honest(paper, crowd)

    monkeypatch.setattr(drawing, "draw_each", dies_in_the_second_share)
    with pytest.raises(KeyboardInterrupt):
        run(paper)
    assert paper.questions.count() == 6
    run(paper)
    assert paper.questions.count() == 14


def test_whoever_begins_before_gets_theirs_and_is_passed_over(
    people: list[Person], no_worker: None, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[TWO])
    sheet = services.start_sheet(paper=paper, apprentice=people[0])
    mine = [row.pk for row in questions_of(sheet)]
    assert len(mine) == 2
    run(paper)
    assert [row.pk for row in questions_of(sheet)] == mine
    assert paper.questions.count() == 14


def test_who_begins_while_their_share_is_being_drawn_gets_nothing_twice(
    people: list[Person], no_worker: None, set_paper: SetPaper, monkeypatch: pytest.MonkeyPatch
) -> None:
    paper = set_paper(parts=[TWO])
    honest = drawing.draw_each

    def somebody_is_quicker(paper: Paper, crowd: list[int], attempt: int = 1) -> list[Question]:
        rows = honest(paper, crowd, attempt)
        if people[1].pk in crowd and len(crowd) > 1:
            services.start_sheet(paper=paper, apprentice=people[1])
        return rows

    monkeypatch.setattr(drawing, "draw_each", somebody_is_quicker)
    run(paper)
    assert paper.questions.filter(apprentice=people[1]).count() == 2
    assert paper.questions.count() == 14


def test_the_work_for_an_older_edition_draws_nothing(
    people: list[Person], no_worker: None, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(parts=[TWO])
    wanted = Wanted(paper.cohort, "Bowls", [QUANTITIES, QUANTITIES], 7)
    services.edit_paper(paper=paper, by=educator, wanted=wanted, edition=1)
    run(paper)
    assert not paper.questions.exists()
    paper.refresh_from_db()
    run(paper)
    assert set(paper.questions.values_list("edition", flat=True)) == {2}


def test_the_page_shows_how_far_it_is_and_looks_again_by_itself(
    people: list[Person],
    no_worker: None,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    educator: Person,
) -> None:
    paper = set_paper(parts=[TWO])
    services.start_sheet(paper=paper, apprentice=people[0])
    client = signed_in(educator)
    page = client.get(at("paper-detail", paper)).text
    assert "questions drawn for 1 of 7 apprentices" in page
    assert 'hx-trigger="every 2s"' in page
    assert "Look again" in page
    part = client.get(at("paper-detail", paper), headers={"HX-Request": "true"}).text
    assert part.lstrip().startswith('<div id="drawing"')
    run(paper)
    paper.drawing.state = JobState.DONE  # type: ignore[union-attr]
    paper.drawing.save()  # type: ignore[union-attr]
    part = client.get(at("paper-detail", paper), headers={"HX-Request": "true"}).text
    assert ("every question is drawn" in part, "every 2s" in part) == (True, False)


def test_where_the_worker_gave_up_it_can_be_asked_again(
    people: list[Person],
    no_worker: None,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    educator: Person,
    assessor: Person,
) -> None:
    paper = set_paper(parts=[TWO])
    paper.drawing.state = JobState.FAILED  # type: ignore[union-attr]
    paper.drawing.save()  # type: ignore[union-attr]
    assert "Draw the rest" not in signed_in(assessor).get(at("paper-detail", paper)).text
    client = signed_in(educator)
    assert "Draw the rest" in client.get(at("paper-detail", paper)).text
    client.post(at("paper-draw", paper))
    paper.drawing.refresh_from_db()  # type: ignore[union-attr]
    assert paper.drawing.state == JobState.WAITING  # type: ignore[union-attr]
