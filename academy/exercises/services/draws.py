"""Storing the questions of a paper: at once where they are few, else by a worker in shares.

Nothing is drawn twice: who has questions of the paper's edition is passed over, so the work may
be killed in the middle and begun again, and whoever begins the paper before gets theirs then.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import Exists, OuterRef

from academy.exercises import drawing
from academy.exercises.models import Paper, PaperPart, Question
from academy.exercises.services.wanted import require_educator
from academy.people.models import CohortPlace, Person
from academy.web.models import JobState
from academy.web.tasks import enqueue, try_again

if TYPE_CHECKING:
    from collections.abc import Sequence

    from django.db.models import QuerySet

    from academy.people.models import Cohort

# Up to so many questions the educator waits for; a worker stores those of so many people at once.
DRAW_AT_ONCE = 200
SHARE = 25
# Rows in one statement; a question is some kilobytes of JSON.
BATCH = 100


@dataclass(frozen=True)
class Progress:
    """How far the drawing of a paper is: people who have their questions, of all who shall."""

    done: int
    people: int
    state: str

    @property
    def going(self) -> bool:
        return self.state in {JobState.WAITING, JobState.RUNNING}

    @property
    def failed(self) -> bool:
        return self.state == JobState.FAILED

    @property
    def share(self) -> int:
        """Per cent, rounded down."""
        return 100 * self.done // self.people if self.people else 100


def draw_now_or_later(paper: Paper) -> None:
    """Store the questions of a paper that has just been written; in the caller's transaction."""
    if paper.same_numbers:
        Question.objects.bulk_create(drawing.draw_common(paper))
        return
    people = list(recipients(paper).values_list("pk", flat=True))
    if _questions_of(paper, people) > DRAW_AT_ONCE:
        paper.drawing = enqueue(
            "academy.exercises.paper_tasks.draw_questions",
            paper.pk,
            paper.edition,
            key=f"exercises.draw {paper.pk} {paper.edition}",
        )
        paper.save(update_fields=["drawing"])
    elif people:
        Question.objects.bulk_create(drawing.draw_each(paper, people), batch_size=BATCH)


def draw_rest(paper_id: int, edition: int) -> None:
    """Draw for everybody who has no questions of this edition yet. Safe to run again."""
    paper = Paper.objects.select_related("rule_set").get(pk=paper_id)
    if paper.edition != edition:
        return
    waiting = list(_without_questions(paper).values_list("pk", flat=True))
    for start in range(0, len(waiting), SHARE):
        if not _draw_share(paper, waiting[start : start + SHARE]):
            return


def draw_again(*, paper: Paper, by: Person) -> None:
    """Let the worker try again after it gave up."""
    require_educator(paper.academy, by)
    if paper.drawing is not None:
        try_again(paper.drawing)


def progress_of(paper: Paper) -> Progress | None:
    """How far the drawing by a worker is; None where nothing is to be said. At most two queries."""
    if paper.drawing is None or paper.withdrawn or paper.drawing.state == JobState.DONE:
        return None
    people, missing = recipients(paper).count(), _without_questions(paper).count()
    if not missing and paper.drawing.state == JobState.FAILED:
        return None
    return Progress(people - missing, people, paper.drawing.state)


def people_with_a_place(cohort: Cohort | int) -> QuerySet[Person, Person]:
    """Who has a place in a cohort today, by name."""
    places = CohortPlace.objects.current().filter(cohort=cohort, person=OuterRef("pk"))
    return Person.objects.filter(Exists(places)).order_by("name", "pk")


def recipients(paper: Paper) -> QuerySet[Person, Person]:
    """For whom a paper is: who has a place in its cohort; of a follow-up, who has parts in it."""
    people = people_with_a_place(paper.cohort_id)
    if not paper.follows_id:
        return people
    parts = PaperPart.objects.filter(paper=paper, apprentice=OuterRef("pk"))
    return people.filter(Exists(parts))


def _without_questions(paper: Paper) -> QuerySet[Person, Person]:
    own = Question.objects.filter(
        paper=paper, edition=paper.edition, attempt=1, apprentice=OuterRef("pk")
    )
    return recipients(paper).exclude(Exists(own))


def _questions_of(paper: Paper, people: Sequence[int]) -> int:
    """How many questions these people get together. One query."""
    parts = list(paper.parts.values_list("apprentice", "count"))
    everybodys = sum(count for person, count in parts if person is None)
    own = sum(count for person, count in parts if person in people)
    return everybodys * len(people) + own


def _draw_share(paper: Paper, people: Sequence[int]) -> bool:
    """Draw for some, outside the transaction; False where the paper was changed meanwhile."""
    corrected = _corrections(paper)
    rows = drawing.draw_each(paper, people)
    with transaction.atomic():
        locked = Paper.objects.select_for_update().get(pk=paper.pk)
        if locked.withdrawn or locked.edition != paper.edition:
            return False
        if _corrections(paper) != corrected:
            # Marked again meanwhile: what is drawn from now on goes by the corrected rules.
            rows = drawing.draw_each(paper, people)
        begun = set(
            Question.objects.filter(
                paper=paper, edition=paper.edition, attempt=1, apprentice__in=people
            ).values_list("apprentice", flat=True)
        )
        Question.objects.bulk_create(
            (row for row in rows if row.apprentice_id not in begun), batch_size=BATCH
        )
    return True


def _corrections(paper: Paper) -> int:
    """How often a paper was marked again."""
    return paper.remarkings.count()
