"""A follow-up sets each their own slips again, and says of each whether it is gone."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.craft.exercise.engine import Level
from academy.curriculum.services.labels import enter_label
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.following import MOST_SLIPS, QUESTIONS_EACH, plan_of
from academy.exercises.models import AnswerSheet, Paper, PaperPart
from academy.exercises.queries.follow_ups import outcomes_of, outcomes_on
from academy.exercises.services import PartWanted
from academy.exercises.services.keeping import questions_of
from academy.web.tokens import new_token
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper, right_answers

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person


def answered(paper: Paper, person: Person, *slips: str) -> AnswerSheet:
    """A sheet that was handed in, right but for these slips wherever they would show."""
    sheet = services.start_sheet(paper=paper, apprentice=person)
    answers = right_answers(sheet)
    for row in questions_of(sheet):
        for mistake in row.question.mistakes:
            if mistake.id in slips:
                field = row.question.field(mistake.field)
                answers[row.position, mistake.field] = field.printed(mistake.value)
    return services.hand_in(sheet=sheet, by=person, answers=answers)


GLOSS_SLIPS = ("no-conditioner", "double-developer", "each-whole")


def at(name: str, paper: Paper) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": paper.token})


def parts_of(paper: Paper, person: Person) -> list[tuple[str, str, str, int]]:
    rows = PaperPart.objects.filter(paper=paper, apprentice=person)
    return list(rows.values_list("family", "level", "slip", "count"))


def test_each_gets_their_own_slips_at_the_level_where_they_were_made(
    learners: Callable[[int], list[Person]], educator: Person, set_paper: SetPaper
) -> None:
    one, two, three, absent = learners(4)
    paper = set_paper(parts=[DILUTE, PartWanted("cover-white-hair", Level.FIRST, 1)])
    answered(paper, one, "mixed-units")
    answered(paper, two, "on-top")
    answered(paper, three)
    follow_up = services.set_follow_up(paper=paper, by=educator)
    assert parts_of(follow_up, one) == [("dilute-a-developer", "working", "mixed-units", 2)]
    assert parts_of(follow_up, two) == [("dilute-a-developer", "working", "on-top", 2)]
    assert (parts_of(follow_up, three), parts_of(follow_up, absent)) == ([], [])
    assert (follow_up.follows, follow_up.kind) == (paper, Paper.Kind.PRACTICE)


def test_every_question_of_it_would_show_the_slip_and_is_new(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    follow_up = services.set_follow_up(paper=paper, by=educator)
    rows = list(follow_up.questions.filter(apprentice=learner))
    assert len(rows) == QUESTIONS_EACH
    for row in rows:
        assert "mixed-units" in {mistake.id for mistake in row.question.mistakes}
        assert row.identity != paper.questions.get().identity


def test_slips_of_one_exercise_share_the_few_questions_there_are(
    learners: Callable[[int], list[Person]], educator: Person, set_paper: SetPaper
) -> None:
    """The gloss has five questions at level first: three slips with two each are too many."""
    paper = set_paper(parts=[PartWanted("gloss-equal-parts", Level.FIRST, 3)])
    people = learners(3)
    for person in people:
        sheet = services.start_sheet(paper=paper, apprentice=person)
        answers = right_answers(sheet)
        for row, slip in zip(questions_of(sheet), GLOSS_SLIPS, strict=True):
            [made] = [one for one in row.question.mistakes if one.id == slip]
            answers[row.position, made.field] = str(made.value)
        services.hand_in(sheet=sheet, by=person, answers=answers)
    follow_up = services.set_follow_up(paper=paper, by=educator)
    for person in people:
        counts = [count for *_, count in parts_of(follow_up, person)]
        assert (len(counts), sum(counts)) == (3, 5)
        drawn = follow_up.questions.filter(apprentice=person)
        assert drawn.values("identity").distinct().count() == 5


def test_only_the_last_handed_in_sheet_counts(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    answered(paper, learner)
    with pytest.raises(PaperError, match="Nobody has a slip"):
        services.set_follow_up(paper=paper, by=educator)


def test_at_most_so_many_slips_each_the_ones_made_most_often_first(
    learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE, DILUTE, QUANTITIES, WHITE, WHITE])
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    answers = right_answers(sheet)
    for row in questions_of(sheet):
        for mistake in row.question.mistakes:
            answers[row.position, mistake.field] = str(mistake.value)
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    (plan,) = plan_of(paper).people
    assert len(plan.asked) == MOST_SLIPS
    assert plan.questions <= MOST_SLIPS * QUESTIONS_EACH
    assert plan.over > 0
    times = [made.times for made, _ in plan.asked]
    assert times == sorted(times, reverse=True)


def test_the_label_comes_along_as_it_read(
    academy: Academy, learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    fields = {"kind": "permanent", "ratios": ["1.5"]}
    label = enter_label(academy=academy, by=educator, name="Training cream B", fields=fields)
    paper = set_paper(parts=[PartWanted("mixing-ratio-quantities", Level.EXAM, 1, label)])
    slips = {mistake.id for mistake in paper.questions.get().question.mistakes}
    answered(paper, learner, *sorted(slips)[:1])
    follow_up = services.set_follow_up(paper=paper, by=educator)
    (part,) = follow_up.parts.all()
    assert (part.label, part.label_fields) == (label, paper.parts.get().label_fields)
    texts = " ".join(row.question.text for row in follow_up.questions.all())
    assert "Training cream B" in texts


def test_who_is_not_asked_does_not_see_it(
    learners: Callable[[int], list[Person]],
    educator: Person,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
) -> None:
    one, two = learners(2)
    paper = set_paper(parts=[DILUTE])
    answered(paper, one, "mixed-units")
    answered(paper, two)
    follow_up = services.set_follow_up(paper=paper, by=educator)
    listed = "/larkmere/exercises/"
    assert "Follow-up: Developer and bowl" in signed_in(one).get(listed).text
    assert "2 questions" in signed_in(one).get(listed).text
    assert "Follow-up" not in signed_in(two).get(listed).text
    assert signed_in(one).get(at("paper-answer", follow_up)).status_code == 200
    assert signed_in(two).get(at("paper-answer", follow_up)).status_code == 404
    assert "Follow-up" not in signed_in(two).get("/larkmere/").text
    with pytest.raises(PaperError):
        services.start_sheet(paper=follow_up, apprentice=two)


def test_nobody_is_waited_for_who_is_not_asked(
    learners: Callable[[int], list[Person]],
    educator: Person,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
) -> None:
    one, two = learners(2)
    paper = set_paper(parts=[DILUTE])
    answered(paper, one, "mixed-units")
    answered(paper, two)
    follow_up = services.set_follow_up(paper=paper, by=educator, due_on=timezone.localdate())
    client = signed_in(educator)
    assert "0 of 1 have handed in" in client.get(at("paper-detail", follow_up)).text
    assert "0 of 1" in client.get("/larkmere/exercises/").text
    Paper.objects.filter(pk=follow_up.pk).update(due_on=timezone.localdate() - timedelta(days=1))
    today = client.get("/larkmere/", follow=True).text
    assert "Learner 00" in today
    assert "Learner 01" not in re.findall(r"[^<>]*Follow-up[^<>]*", today)


@pytest.mark.parametrize(
    ("again", "state"), [((), "gone"), (("mixed-units",), "again"), (None, "open")]
)
def test_the_result_says_of_each_slip_whether_it_is_gone(
    again: tuple[str, ...] | None,
    state: str,
    learner: Person,
    educator: Person,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    follow_up = services.set_follow_up(paper=paper, by=educator)
    if again is None:
        sheet = services.start_sheet(paper=follow_up, apprentice=learner)
        services.hand_in(sheet=sheet, by=learner)
    else:
        sheet = answered(follow_up, learner, *again)
    (row,) = outcomes_of(follow_up).people
    assert [slip.state for slip in row.slips] == [state]
    assert [slip.state for slip in outcomes_on(AnswerSheet.objects.get(pk=sheet.pk))] == [state]
    page = signed_in(educator).get(at("paper-detail", follow_up)).text
    words = {"gone": "gone", "again": "shown again", "open": "not reached"}[state]
    assert f"Mixed units: {words}</span>" in page
    at_sheet = {"academy": "larkmere", "token": sheet.token}
    own = signed_in(learner).get(reverse("exercises:sheet-detail", kwargs=at_sheet)).text
    assert f"Mixed units: {words}</span>" in own


def test_one_wrong_in_another_way_leaves_the_slip_not_reached(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    follow_up = services.set_follow_up(paper=paper, by=educator)
    sheet = services.start_sheet(paper=follow_up, apprentice=learner)
    answers = {**right_answers(sheet), (2, "stock"): "1"}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert outcomes_of(follow_up).open == 1


def test_not_begun_is_not_reached(learner: Person, educator: Person, set_paper: SetPaper) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    outcomes = outcomes_of(services.set_follow_up(paper=paper, by=educator))
    assert (outcomes.gone, outcomes.again, outcomes.open) == (0, 0, 1)


def test_a_follow_up_is_followed_in_turn(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    answered(paper, learner, "mixed-units", "on-top")
    first = services.set_follow_up(paper=paper, by=educator)
    answered(first, learner, "on-top")
    second = services.set_follow_up(paper=first, by=educator)
    assert [slip for _, _, slip, _ in parts_of(second, learner)] == ["on-top"]
    assert second.title == "Follow-up: Developer and bowl"


def test_a_follow_up_may_be_tried_again_on_new_numbers(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    follow_up = services.set_follow_up(paper=paper, by=educator)
    answered(follow_up, learner, "mixed-units")
    answered(follow_up, learner)
    assert outcomes_of(follow_up).gone == 1


def test_the_page_before_lists_who_gets_what_and_sets_it_once(
    learners: Callable[[int], list[Person]],
    educator: Person,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
) -> None:
    one, two, _ = learners(3)
    paper = set_paper(parts=[DILUTE])
    answered(paper, one, "mixed-units")
    answered(paper, two)
    client, url = signed_in(educator), at("paper-follow-up", paper)
    assert "Set each their own follow-up" in client.get(at("paper-detail", paper)).text
    page = " ".join(client.get(url).text.split())
    assert "1 apprentice gets their own slips again" in page
    assert "Mixed units" in page
    assert 'Learner 01 <span class="quiet">no slip on the last sheet' in page
    assert 'Learner 02 <span class="quiet">has not handed in' in page
    assert not paper.follow_ups.exists()
    form = {"key": new_token(), "due_on": ""}
    first, second = (client.post(url, form) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert paper.follow_ups.count() == 1
    assert "Followed by" in client.get(at("paper-detail", paper)).text


def test_a_day_that_is_over_is_refused_and_stays_in_the_field(
    learner: Person, educator: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    form = {"key": new_token(), "due_on": "2020-01-01"}
    page = signed_in(educator).post(at("paper-follow-up", paper), form).text
    assert "This day is over." in page
    assert "2020" in page
    assert not paper.follow_ups.exists()


def test_a_test_is_closed_before_it_is_followed(
    learner: Person, educator: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    paper = set_paper(parts=[DILUTE], kind=Paper.Kind.TEST)
    answered(paper, learner, "mixed-units")
    with pytest.raises(PaperError, match="Close it first"):
        services.set_follow_up(paper=paper, by=educator)
    page = signed_in(educator).get(at("paper-follow-up", paper), follow=True).text
    assert "would give its slips away" in page
    services.close_paper(paper=paper, by=educator)
    services.set_follow_up(paper=Paper.objects.get(pk=paper.pk), by=educator)
    assert paper.follow_ups.count() == 1


def test_setting_writes_one_entry_in_a_readable_sentence(
    learner: Person, educator: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    services.set_follow_up(paper=paper, by=educator)
    entries = Entry.objects.filter(action="exercises.paper.follow_up_set")
    assert render(entries)[0].sentence == (
        "Maren Tolvey set each apprentice their own slips in the paper "
        "\u201cFollow-up: Developer and bowl\u201d for Cohort 7"
    )


def test_only_an_educator_sets_it(learner: Person, assessor: Person, set_paper: SetPaper) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    with pytest.raises(PaperError, match="Only an educator"):
        services.set_follow_up(paper=paper, by=assessor)


def test_a_follow_up_is_not_changed_and_no_paper_is_begun_like_it(
    learner: Person, educator: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learner, "mixed-units")
    follow_up = services.set_follow_up(paper=paper, by=educator)
    client = signed_in(educator)
    page = client.get(at("paper-detail", follow_up)).text
    assert ("Set one like it" in page, ">Change<" in page) == (False, False)
    assert "is not changed" in client.get(at("paper-edit", follow_up), follow=True).text


def test_the_database_holds_that_a_slip_is_somebodys(set_paper: SetPaper) -> None:
    part = set_paper(parts=[DILUTE]).parts.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        PaperPart.objects.filter(pk=part.pk).update(slip="on-top")


def test_plan_and_result_ask_alike_for_1_and_for_20(
    learners: Callable[[int], list[Person]], educator: Person, set_paper: SetPaper
) -> None:
    people = learners(20)
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    counts: dict[str, list[int]] = {"plan": [], "result": []}
    for crowd in (people[:1], people[1:]):
        for person in crowd:
            answered(paper, person, "mixed-units")
        counts["plan"].append(_asked(lambda: plan_of(paper)))
        follow_up = services.set_follow_up(paper=paper, by=educator)
        for person in crowd:
            answered(follow_up, person)
        counts["result"].append(_asked(lambda: outcomes_of(follow_up)))  # noqa: B023
    assert counts["plan"][0] == counts["plan"][1]
    assert counts["result"][0] == counts["result"][1]


def _asked(look: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as asked:
        look()
    return len(asked)
