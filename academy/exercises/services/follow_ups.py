"""A follow-up: each apprentice gets new questions in which their own slips would show again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.house import current_rule_set
from academy.exercises.errors import PaperError
from academy.exercises.following import asking, plan_of
from academy.exercises.models import Paper, PaperPart
from academy.exercises.seeds import new_seed
from academy.exercises.services.draws import draw_now_or_later
from academy.exercises.services.papers import sent_before
from academy.exercises.services.wanted import require_educator

if TYPE_CHECKING:
    from datetime import date

    from academy.exercises.following import Plan
    from academy.people.models import Person

LONGEST_TITLE = 120


def set_follow_up(
    *, paper: Paper, by: Person, due_on: date | None = None, client_key: str | None = None
) -> Paper:
    """Set a practice paper that follows another; who made no slip is not asked.

    The same `client_key` sent again gives the paper that is there already.
    """
    require_educator(paper.academy, by)
    if before := sent_before(paper.academy, by, client_key):
        return before
    check_followable(paper)
    if due_on and due_on < timezone.localdate():
        raise PaperError("This day is over. Choose today or a later day.", field="due_on")
    try:
        with transaction.atomic():
            Paper.objects.select_for_update(of=("self",)).get(pk=paper.pk)
            plan = plan_of(paper)
            if not plan.asked:
                raise PaperError("Nobody has a slip that can be asked for again.")
            return _set(paper, by, plan, due_on, client_key)
    except IntegrityError:
        # The same page sent twice at the same moment: the other one won.
        twin = sent_before(paper.academy, by, client_key)
        if twin is None:
            raise
        return twin


def check_followable(paper: Paper) -> None:
    """`PaperError` where no follow-up is set: it would show the slips too early, or to nobody."""
    if not paper.shows_solution:
        raise PaperError(
            "This test is not closed yet, and a follow-up would give its slips away. Close it "
            "first."
        )
    if paper.cohort.ended():
        raise PaperError("This cohort has ended. Nobody in it answers papers any more.")


def _set(
    paper: Paper, by: Person, plan: Plan, due_on: date | None, client_key: str | None
) -> Paper:
    set_now = Paper.objects.create(
        academy=paper.academy,
        cohort=paper.cohort,
        title=f"Follow-up: {paper.title.removeprefix('Follow-up: ')}"[:LONGEST_TITLE],
        kind=Paper.Kind.PRACTICE,
        seed=new_seed(),
        due_on=due_on,
        pass_share=paper.pass_share,
        rule_set=current_rule_set(paper.academy),
        set_by=by,
        client_key=client_key,
        follows=paper,
    )
    wanted = [(person.person, made, count) for person in plan.asked for made, count in person.asked]
    PaperPart.objects.bulk_create(
        asking(made, count, paper=set_now, position=position, apprentice=person)
        for position, (person, made, count) in enumerate(wanted, 1)
    )
    draw_now_or_later(set_now)
    record(
        academy_id=paper.academy_id,
        actor_id=by.pk,
        action="exercises.paper.follow_up_set",
        subject=set_now,
        details={
            "follows": paper.pk,
            "cohort": paper.cohort_id,
            "seed": str(set_now.seed),
            "people": len(plan.asked),
            "questions": plan.questions,
            "rule_set": set_now.rule_set.number if set_now.rule_set else 0,
        },
    )
    return set_now
