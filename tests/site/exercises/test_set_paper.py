"""Setting a paper draws and stores its questions once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.utils import timezone

from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.craft.exercise.engine import Level, Question as Drawn
from academy.curriculum.services import make_rule_set
from academy.curriculum.services.labels import enter_label
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper, Question
from academy.exercises.services import PartWanted, Wanted
from academy.people.models import Academy, Cohort, CohortPlace, Person, Role
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper
from tests.site.factories import CohortFactory, CohortPlaceFactory


def test_every_apprentice_of_the_cohort_gets_stored_questions(
    make_member: Callable[..., Person], cohort: Cohort, set_paper: SetPaper
) -> None:
    people = [make_member(Role.APPRENTICE) for _ in range(3)]
    for person in people:
        CohortPlaceFactory(cohort=cohort, person=person)
    paper = set_paper(parts=[DILUTE, WHITE])
    owners = list(paper.questions.values_list("apprentice", "position").order_by("apprentice"))
    assert sorted(owners) == sorted((p.pk, n) for p in people for n in (1, 2))


def test_same_numbers_are_stored_once_for_all(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper(same_numbers=True, parts=[QUANTITIES])
    assert [row.apprentice for row in paper.questions.all()] == [None]


def test_different_numbers_differ_between_apprentices(
    make_member: Callable[..., Person], cohort: Cohort, set_paper: SetPaper
) -> None:
    for _ in range(2):
        CohortPlaceFactory(cohort=cohort, person=make_member(Role.APPRENTICE))
    one, other = set_paper(parts=[WHITE]).questions.all()
    assert one.identity != other.identity


def test_a_stored_question_is_the_drawn_one_to_the_letter(
    learner: Person, set_paper: SetPaper
) -> None:
    row = set_paper(parts=[WHITE]).questions.get()
    again = Drawn.from_json(Question.objects.get(pk=row.pk).question.to_json())
    assert again == row.question
    assert (row.family, row.family_version, row.seed) == (again.family, again.version, again.seed)


def test_a_drawn_question_never_changes(learner: Person, set_paper: SetPaper) -> None:
    row = set_paper().questions.get()
    with pytest.raises(DatabaseError), transaction.atomic():
        Question._base_manager.filter(pk=row.pk).update(seed=1)


def test_the_same_seed_gives_the_same_paper(learner: Person, set_paper: SetPaper) -> None:
    papers = [set_paper(same_numbers=True, parts=[DILUTE, QUANTITIES], seed=7) for _ in range(2)]
    first, second = ([q.drawn for q in paper.questions.all()] for paper in papers)
    assert first == second


def test_another_seed_gives_another_paper(learner: Person, set_paper: SetPaper) -> None:
    one, other = (set_paper(same_numbers=True, parts=[WHITE], seed=seed) for seed in (7, 8))
    assert one.questions.get().identity != other.questions.get().identity


def test_an_apprentice_meets_no_question_twice_within_90_days(
    learner: Person, set_paper: SetPaper
) -> None:
    part = PartWanted("dilute-a-developer", Level.WORKING, 10)
    first, second = (set_paper(parts=[part]) for _ in range(2))
    seen = set(first.questions.values_list("identity", flat=True))
    assert seen.isdisjoint(second.questions.values_list("identity", flat=True))


def test_how_long_a_question_counts_as_seen_is_a_house_rule(
    academy: Academy, educator: Person, learner: Person, set_paper: SetPaper
) -> None:
    part = PartWanted("dilute-a-developer", Level.WORKING, 10)
    make_rule_set(academy=academy, by=educator, changes={"seen_days": Decimal(0)})
    first, second = (set_paper(parts=[part]) for _ in range(2))
    identities = (set(p.questions.values_list("identity", flat=True)) for p in (first, second))
    assert len(set.union(*identities)) == 10


def test_common_questions_that_were_begun_count_as_seen(
    learner: Person, set_paper: SetPaper
) -> None:
    part = PartWanted("dilute-a-developer", Level.WORKING, 10)
    common = set_paper(parts=[part], same_numbers=True)
    services.start_sheet(paper=common, apprentice=learner)
    own = set_paper(parts=[part])
    seen = set(common.questions.values_list("identity", flat=True))
    assert seen.isdisjoint(own.questions.values_list("identity", flat=True))


def test_the_label_as_it_read_then_is_kept(
    academy: Academy, educator: Person, learner: Person, set_paper: SetPaper
) -> None:
    label = enter_label(
        academy=academy,
        by=educator,
        name="Training cream B",
        fields={"kind": "permanent", "ratios": ["1.5"]},
    )
    part = PartWanted("mixing-ratio-quantities", Level.EXAM, 1, label)
    paper = set_paper(parts=[part], same_numbers=True)
    enter_label(
        academy=academy,
        by=educator,
        name="Training cream B",
        fields={"kind": "permanent", "ratios": ["1"]},
        label=label,
    )
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    services.hand_in(sheet=sheet, by=learner)
    again = services.start_sheet(paper=paper, apprentice=learner)
    later = Question.objects.get(paper=paper, attempt=again.attempt).question
    assert "1:1.5" in [given.value for given in later.givens if given.label == "Label, ratio"]


def test_a_double_press_sets_one_paper(learner: Person, set_paper: SetPaper) -> None:
    first, second = (set_paper(client_key="k" * 22) for _ in range(2))
    assert first == second
    assert Paper.objects.count() == 1


def test_a_pages_key_finds_the_papers_of_its_sender_alone(
    set_paper: SetPaper, academy: Academy, make_member: Callable[..., Person], cohort: Cohort
) -> None:
    set_paper(client_key="k" * 22)
    other = make_member(Role.EDUCATOR, name="Another Educator")
    wanted = Wanted(cohort=cohort, title="Mine", parts=[DILUTE], seed=7)
    with pytest.raises(IntegrityError), transaction.atomic():
        services.set_paper(academy=academy, by=other, wanted=wanted, client_key="k" * 22)
    assert Paper.objects.get().title == "Developer and bowl"


def test_setting_writes_one_entry_in_a_readable_sentence(
    educator: Person, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper()
    entries = list(Entry.objects.filter(action__startswith="exercises."))
    assert [entry.subject_id for entry in entries] == [paper.pk]
    assert render(entries)[0].sentence == (
        "Maren Tolvey set the paper \u201cDeveloper and bowl\u201d for Cohort 7"
    )


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"title": "   "}, "title"),
        ({"title": "x" * 121}, "title"),
        ({"parts": []}, "parts"),
        ({"parts": [DILUTE] * 31}, "parts"),
        ({"parts": [PartWanted("dilute-a-developer", Level.WORKING, 41)]}, "parts"),
        ({"parts": [PartWanted("dilute-a-developer", Level.WORKING, 0)]}, "parts"),
        ({"parts": [PartWanted("no-such-family", Level.WORKING, 1)]}, "parts"),
        ({"kind": "practice", "minutes": 20}, "minutes"),
        ({"kind": "test", "minutes": 0}, "minutes"),
        ({"kind": "test", "minutes": 241}, "minutes"),
        ({"pass_share": 0}, "pass_share"),
        ({"pass_share": 101}, "pass_share"),
        ({"seed": 2**63}, "seed"),
        ({"seed": -1}, "seed"),
        ({"due_on": timezone.localdate() - timedelta(days=1)}, "due_on"),
    ],
)
def test_what_cannot_be_set_is_refused_and_leaves_nothing(
    wrong: dict[str, object], field: str, learner: Person, set_paper: SetPaper
) -> None:
    with pytest.raises(PaperError) as refused:
        set_paper(**wrong)
    assert refused.value.field == field
    assert not Paper.objects.exists()


def test_another_academys_cohort_and_an_ended_one_are_refused(
    other_academy: Academy, academy: Academy, set_paper: SetPaper
) -> None:
    ended = CohortFactory(academy=academy, ends_on=timezone.localdate() - timedelta(days=1))
    for cohort in (CohortFactory(academy=other_academy), ended):
        with pytest.raises(PaperError) as refused:
            set_paper(cohort=cohort)
        assert refused.value.field == "cohort"


@pytest.mark.parametrize("role", ["apprentice", "assessor", "verifier", "manager"])
def test_only_educators_set_papers(
    role: str, academy: Academy, cohort: Cohort, request: pytest.FixtureRequest
) -> None:
    wanted = Wanted(cohort, "Developer", [DILUTE], 7)
    with pytest.raises(PaperError):
        services.set_paper(academy=academy, by=request.getfixturevalue(role), wanted=wanted)


def test_a_withdrawn_paper_keeps_the_sheets_that_were_handed_in(
    educator: Person, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper()
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    services.hand_in(sheet=sheet, by=learner)
    services.withdraw_paper(paper=paper, by=educator)
    services.withdraw_paper(paper=paper, by=educator)
    assert paper.sheets.get().handed_in
    assert Entry.objects.filter(action="exercises.paper.withdrawn").count() == 1


def test_who_has_left_the_cohort_gets_no_questions(
    make_member: Callable[..., Person], cohort: Cohort, set_paper: SetPaper
) -> None:
    left = make_member(Role.APPRENTICE)
    CohortPlace.objects.create(
        cohort=cohort,
        person=left,
        since=timezone.localdate() - timedelta(days=9),
        until=timezone.localdate() - timedelta(days=1),
    )
    assert not set_paper().questions.exists()
