"""Asking for a paper as PDF, and whose sheets go into it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.audit.services import record
from academy.exercises import drawing, rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper, PaperPrint, Question
from academy.people.models import CohortPlace
from academy.web.models import JobState
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from academy.people.models import Person

EVERYBODY = 0
"""Stands for all who get the same numbers, and for a paper with a line for the name."""

_OPEN = (JobState.WAITING, JobState.RUNNING)


def ask_print(*, paper: Paper, by: Person, what: str) -> PaperPrint:
    """Let a worker make the PDF. Asked again while one is being made, it gives that one."""
    if not rules.may_set(by, paper.academy):
        raise PaperError("Only an educator of this academy sets, prints and withdraws papers.")
    with transaction.atomic():
        locked = Paper.objects.select_for_update(of=("self",)).get(pk=paper.pk)
        if locked.drawing and locked.drawing.state in _OPEN:
            raise PaperError("Its questions are still being drawn. Ask again in a minute.")
        going = paper.prints.filter(what=what, job__state__in=_OPEN, file="", trouble="")
        if found := going.first():
            return found
        asked = PaperPrint.objects.create(paper=paper, asked_by=by, what=what)
        record(
            academy_id=paper.academy_id,
            actor_id=by.pk,
            action=f"exercises.paper.{what}_printed",
            subject=paper,
            details={"print": asked.pk},
        )
        asked.job = enqueue("academy.exercises.tasks.make_print", asked.pk)
        PaperPrint.objects.filter(pk=asked.pk).update(job=asked.job)
    asked.refresh_from_db()
    return asked


def settle_people(asked: PaperPrint) -> None:
    """Note whose sheets go into a print. Who joined late gets their numbers now, once.

    Noted at the start, so that no batch leaves somebody out because another came or went.
    """
    with transaction.atomic():
        paper = Paper.objects.select_for_update(of=("self",)).get(pk=asked.paper_id)
        if not paper.same_numbers:
            drawn = set(_drawn_for(paper))
            late = [person for person in _here(paper) if person not in drawn]
            Question.objects.bulk_create(drawing.draw_each(paper, late))
        asked.people = people_to_print(paper, asked.what)
        asked.save(update_fields=["people"])


def people_to_print(paper: Paper, what: str) -> list[int]:
    """The ids of those whose papers, keys or guides go in, by name. Two queries at most.

    Everybody with a place today and with questions; of a cohort that has ended, all who had any.
    Where all get the same numbers one key serves, and nobody's paper has a line for the name.
    """
    if paper.same_numbers:
        return (_here(paper) if what == PaperPrint.What.PAPERS else []) or [EVERYBODY]
    everybody, still = _drawn_for(paper), set(_here(paper))
    return [person for person in everybody if person in still] or everybody


def _here(paper: Paper) -> list[int]:
    places = CohortPlace.objects.current().filter(cohort=paper.cohort_id)
    return list(places.order_by("person__name", "person").values_list("person", flat=True))


def _drawn_for(paper: Paper) -> list[int]:
    own = Question.objects.filter(
        paper=paper, attempt=1, edition=paper.edition, apprentice__isnull=False
    )
    drawn = own.order_by("apprentice__name", "apprentice").values_list("apprentice", flat=True)
    return list(dict.fromkeys(drawn))
