"""A cohort with one apprentice, and papers set for it through the service."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from academy.craft.exercise.engine import Level
from academy.exercises import services
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.keys import key_views
from academy.exercises.services import PartWanted, Wanted
from academy.exercises.services.keeping import questions_of
from academy.people.models import Role
from tests.site.factories import CohortFactory, CohortPlaceFactory

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Cohort, Person

SetPaper = Callable[..., Paper]
RightAnswers = Callable[[AnswerSheet], dict[tuple[int, str], str]]

DILUTE = PartWanted("dilute-a-developer", Level.WORKING, 1)
QUANTITIES = PartWanted("mixing-ratio-quantities", Level.WORKING, 1)
WHITE = PartWanted("cover-white-hair", Level.WORKING, 1)


@pytest.fixture
def cohort(academy: Academy) -> Cohort:
    return CohortFactory(academy=academy, name="Cohort 7")


@pytest.fixture
def learner(apprentice: Person, cohort: Cohort) -> Person:
    CohortPlaceFactory(cohort=cohort, person=apprentice)
    return apprentice


@pytest.fixture
def learners(make_member: Callable[..., Person], cohort: Cohort) -> Callable[[int], list[Person]]:
    """`learners(3)`: so many apprentices of the cohort."""

    def make(count: int) -> list[Person]:
        people = [make_member(Role.APPRENTICE, name=f"Learner {n:02}") for n in range(count)]
        for person in people:
            CohortPlaceFactory(cohort=cohort, person=person)
        return people

    return make


@pytest.fixture
def set_paper(academy: Academy, educator: Person, cohort: Cohort) -> SetPaper:
    """`set_paper(parts=…, same_numbers=…)`: a paper for the cohort, set by the educator."""

    def make(*, client_key: str | None = None, **wanted: Any) -> Paper:
        given = {"title": "Developer and bowl", "parts": [DILUTE], "seed": 51907734, **wanted}
        return services.set_paper(
            academy=academy,
            by=educator,
            wanted=Wanted(**{"cohort": cohort, **given}),
            client_key=client_key,
        )

    return make


def right_answers(sheet: AnswerSheet) -> dict[tuple[int, str], str]:
    """What gives full marks, as it is printed in a key."""
    views = key_views(row.question for row in questions_of(sheet))
    return {(view.position, line.field.key): line.right for view in views for line in view.lines}


@pytest.fixture
def sheet(learner: Person, set_paper: SetPaper) -> AnswerSheet:
    """A sheet of one question that its apprentice has just begun."""
    return services.start_sheet(paper=set_paper(), apprentice=learner)


@pytest.fixture
def page(signed_in: Callable[[Person], Client], learner: Person) -> Callable[..., str]:
    """`page(sheet)`: the marked sheet as its apprentice reads it."""

    def look(sheet: AnswerSheet, as_person: Person = learner) -> str:
        at = {"academy": "larkmere", "token": sheet.token}
        answer = signed_in(as_person).get(reverse("exercises:sheet-detail", kwargs=at))
        assert answer.status_code == 200
        return " ".join(answer.text.split())

    return look
