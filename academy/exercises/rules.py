"""Who may do what with papers and answer sheets. Nothing is changed here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.people.models import Academy, CohortPlace, Person, Role, held_roles_of

if TYPE_CHECKING:
    from academy.exercises.models import AnswerSheet, Paper

SEES_RESULTS = (Role.EDUCATOR, Role.ASSESSOR, Role.VERIFIER, Role.MANAGER)


def may_set(person: Person, academy: Academy) -> bool:
    """Educators set papers, print and withdraw them. One query."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_answer(person: Person, paper: Paper) -> bool:
    """Apprentices who have a place in the paper's cohort today. Two queries."""
    if Role.APPRENTICE not in held_roles_of(person, paper.academy):
        return False
    return CohortPlace.objects.current().filter(cohort=paper.cohort_id, person=person).exists()


def may_write_on(person: Person, sheet: AnswerSheet) -> bool:
    """Only its apprentice, until it is handed in."""
    return sheet.apprentice_id == person.pk and not sheet.handed_in
