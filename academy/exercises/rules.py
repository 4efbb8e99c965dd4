"""Who may do what with papers and answer sheets. Nothing is changed here."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from academy.people.models import Academy, CohortPlace, Person, Role, held_roles_of

if TYPE_CHECKING:
    from datetime import datetime

    from academy.exercises.models import AnswerSheet, Paper

# What was sent in the last second may take a while to arrive.
GRACE = timedelta(minutes=1)
SEES_RESULTS = (Role.EDUCATOR, Role.ASSESSOR, Role.VERIFIER, Role.MANAGER)


def may_set(person: Person, academy: Academy) -> bool:
    """Educators set papers, print and withdraw them. One query."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_answer(person: Person, paper: Paper) -> bool:
    """Apprentices who have a place in the paper's cohort today, and parts in a follow-up.

    At most three queries.
    """
    if Role.APPRENTICE not in held_roles_of(person, paper.academy):
        return False
    if paper.follows_id and not paper.parts.filter(apprentice=person).exists():
        return False
    return CohortPlace.objects.current().filter(cohort=paper.cohort_id, person=person).exists()


def may_enter(person: Person, academy: Academy) -> bool:
    """Educators and assessors type in what was answered on paper. One query."""
    return bool({Role.EDUCATOR, Role.ASSESSOR} & set(held_roles_of(person, academy)))


def may_close(paper: Paper) -> bool:
    """A test whose solution is not shown yet."""
    return paper.kind == paper.Kind.TEST and not paper.shows_solution


def is_over(sheet: AnswerSheet, moment: datetime) -> bool:
    """Whether nothing more may be written on a sheet: its time is up, or its test is closed.

    A minute of grace is given to what was sent in time; what is entered from paper was written
    in time. No query where the paper is loaded.
    """
    if sheet.entered_by_id is not None:
        return False
    if sheet.ends_at is not None and moment > sheet.ends_at + GRACE:
        return True
    return sheet.paper.is_closed(moment)


def may_write_on(person: Person, sheet: AnswerSheet) -> bool:
    """Only its apprentice, until it is handed in or entered from paper."""
    mine = sheet.apprentice_id == person.pk
    return mine and not sheet.handed_in and sheet.entered_by_id is None
