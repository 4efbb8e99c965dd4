"""Two people at the same paper at the same moment, in real transactions on both databases."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.site.test_migrations import in_a_site_of_its_own

# `beside(first, second)`: the first has written and not yet committed when the second begins.
SCRIPT = """
import django
django.setup()
import threading, time
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from django.core.management import call_command
from django.db import connections, transaction
from django.utils import timezone
call_command("migrate", verbosity=0)
from academy.audit.models import Entry
from academy.craft.exercise.engine import Level
from academy.curriculum.services import make_rule_set
from academy.exercises import drawing, paper_tasks, services
from academy.exercises.errors import PaperError
from academy.exercises.models import Answer, AnswerSheet, Paper, Question
from academy.exercises.services import draws
from academy.people.models import Role
from tests.site.factories import (
    AcademyFactory, CohortFactory, CohortPlaceFactory, MembershipFactory, PersonFactory
)

academy = AcademyFactory()
cohort = CohortFactory(academy=academy)
educator = MembershipFactory(academy=academy, role=Role.EDUCATOR).person
learner = MembershipFactory(academy=academy, role=Role.APPRENTICE).person
CohortPlaceFactory(cohort=cohort, person=learner)
part = services.PartWanted("dilute-a-developer", Level.WORKING, 1)
wanted = services.Wanted(cohort=cohort, title="Twice", parts=[part], seed=51907734)

def set_paper(**fields):
    return services.set_paper(academy=academy, by=educator, wanted=replace(wanted, **fields))

def start(paper):
    return services.start_sheet(paper=paper, apprentice=learner)

def enter(paper, act=services.keep_entered):
    return act(paper=paper, apprentice=learner, by=educator, answers={(1, "stock"): "30"})

def edit(paper):
    new = replace(wanted, seed=7, title="Changed")
    return services.edit_paper(paper=paper, by=educator, wanted=new, edition=1)

def outcome(deed):
    try:
        return deed()
    except Exception as error:
        words = error.message if isinstance(error, PaperError) else f"{type(error)} {error}"
        return f"{type(error).__name__}: {words}"

def beside(first, second):
    written, results = threading.Event(), {}
    def one():
        with transaction.atomic():
            results["one"] = outcome(first)
            written.set()
            time.sleep(0.6)
        connections.close_all()
    def two():
        written.wait(20)
        results["two"] = outcome(second)
        connections.close_all()
    running = [threading.Thread(target=work) for work in (one, two)]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join(60)
    return results["one"], results["two"]

def entries(subject):
    label = "exercises.answersheet" if isinstance(subject, AnswerSheet) else "exercises.paper"
    found = Entry.objects.filter(subject_type=label, subject_id=subject.pk)
    return sorted(action.rpartition(".")[2] for action in found.values_list("action", flat=True))

sheet = start(set_paper())
_, told = beside(
    lambda: services.hand_in(sheet=sheet, by=learner), lambda: enter(sheet.paper)
)
print("entered beside handing in:", told, entries(sheet))

paper = set_paper()
one, two = beside(
    lambda: enter(paper, services.hand_in_entered), lambda: enter(paper, services.hand_in_entered)
)
print("entered twice:", one == two, entries(one))

sheet = start(set_paper(kind="test", minutes=5))
AnswerSheet.objects.filter(pk=sheet.pk).update(
    started_at=timezone.now() - timedelta(hours=2), ends_at=timezone.now() - timedelta(hours=1)
)
_, two = beside(
    lambda: paper_tasks.end_sheet(sheet.pk), lambda: services.hand_in(sheet=sheet, by=learner)
)
print("handed in beside the clock:", two.handed_in, entries(sheet))

paper = set_paper()
one, two = beside(lambda: start(paper), lambda: start(paper))
print("begun twice:", one == two, entries(one))

paper = set_paper()
_, two = beside(lambda: start(paper), lambda: edit(paper))
print("edited beside beginning:", two)

paper = set_paper()
_, two = beside(lambda: edit(paper), lambda: start(paper))
print("begun beside editing:", two.paper.edition, entries(paper))

sheet = start(set_paper())
both = {(1, "stock"): "30", (1, "neutral"): "50"}
def keep():
    return services.keep_answers(sheet=sheet, by=learner, answers=both)
beside(keep, keep)
print("kept twice:", Answer.objects.filter(sheet=sheet).count())

draws.DRAW_AT_ONCE = 0
paper = set_paper()
beside(lambda: start(paper), lambda: draws.draw_rest(paper.pk, 1))
print("drawn beside beginning:", Question.objects.filter(paper=paper).count())

paper = set_paper()
late = MembershipFactory(academy=academy, role=Role.APPRENTICE).person
CohortPlaceFactory(cohort=cohort, person=late)
services.hand_in(sheet=start(paper), by=learner)
make_rule_set(
    academy=academy, by=educator, changes={"tolerance.grams": Decimal("0.5")}, note="n", seen=0
)
plain = drawing.draw_each
def corrected_meanwhile(*args):
    drawing.draw_each, rows = plain, plain(*args)
    services.remark_paper(paper=paper, by=educator, reason="The scales read to 0.1 g.")
    return rows
drawing.draw_each = corrected_meanwhile
draws.draw_rest(paper.pk, 1)
[row] = Question.objects.filter(paper=paper, apprentice=late)
print("drawn beside marking again:", row.question.field("stock").tolerance.plain)
"""

TOLD = {
    "entered beside handing in": "PaperError: {name} has handed in this paper. What was handed in "
    "is not entered again. ['handed_in', 'started']",
    "entered twice": "True ['entered']",
    "handed in beside the clock": "True ['started', 'time_up']",
    "begun twice": "True ['started']",
    "edited beside beginning": "PaperError: Somebody has begun this paper, so it stays as it is. "
    "Set a new one like it instead.",
    "begun beside editing": "2 ['changed', 'set']",
    "kept twice": "2",
    "drawn beside beginning": "1",
    "drawn beside marking again": "0.5",
}


def told_on(path: Path, url: str) -> dict[str, str]:
    lines = in_a_site_of_its_own(SCRIPT, BLOCKWORK_DATA=str(path), DATABASE_URL=url)
    return dict(line.split(": ", 1) for line in lines)


def expected(told: dict[str, str]) -> dict[str, str]:
    """The name in the refusal is whatever the factory gave."""
    words = told["entered beside handing in"]
    name = words.removeprefix("PaperError: ").partition(" has handed in")[0]
    return {deed: says.replace("{name}", name) for deed, says in TOLD.items()}


def test_who_comes_second_waits_and_is_told(tmp_path: Path) -> None:
    told = told_on(tmp_path, "")
    assert told == expected(told)


@pytest.mark.postgres
def test_who_comes_second_waits_and_is_told_on_postgresql(
    tmp_path: Path, postgres_url: str
) -> None:
    told = told_on(tmp_path, postgres_url)
    assert told == expected(told)
