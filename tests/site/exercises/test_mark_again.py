"""Marking a paper again under corrected rules: preview, deed, and the old marks still readable."""

from __future__ import annotations

import html
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse

from academy.audit.models import Entry
from academy.craft.exercise.engine import Level
from academy.curriculum.house import current_rule_set, rules_today
from academy.curriculum.models import ProductLabel
from academy.curriculum.services import make_rule_set
from academy.exercises import remarking, services
from academy.exercises.errors import PaperError
from academy.exercises.models import (
    Answer,
    AnswerRemark,
    AnswerSheet,
    Paper,
    PaperPrint,
    Remarking,
    SheetRemark,
)
from academy.exercises.queries.lists import paper_rows, slip_words
from academy.exercises.queries.printed import paper_pages
from academy.exercises.queries.results import results_of
from academy.exercises.queries.standing import passed_now, standing_answers
from academy.exercises.remarking import remarked
from academy.exercises.services import PartWanted
from academy.exercises.services.keeping import questions_of
from academy.exercises.services.remarking import OTHER_KEY
from academy.people.models import Role
from tests.site.exercises.conftest import SetPaper, right_answers
from tests.site.factories import CohortPlaceFactory

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Cohort, Person

WHITE_FIRST = PartWanted("cover-white-hair", Level.FIRST, 1)
Change = Callable[..., None]


@pytest.fixture
def house(academy: Academy, educator: Person) -> Change:
    """`house("tolerance.grams", 3)`: the educator corrects one rule."""

    def change(key: str, value: str) -> None:
        make_rule_set(
            academy=academy,
            by=educator,
            changes={key: Decimal(value)},
            note="corrected",
            seen=(current.number if (current := current_rule_set(academy)) else 0),
        )

    return change


def weighed_off(sheet: AnswerSheet, by: Person, grams: Decimal) -> AnswerSheet:
    """A sheet of the diluting exercise with the stock so many grams too heavy, the rest right."""
    answers = right_answers(sheet)
    key = questions_of(sheet)[0].question.key["stock"]
    assert isinstance(key, Decimal)
    answers[1, "stock"] = str(key + grams)
    return services.hand_in(sheet=sheet, by=by, answers=answers)


@pytest.fixture
def sheet(learner: Person, set_paper: SetPaper) -> AnswerSheet:
    """One question that hangs on the seed alone: less than 60 g of stock, so 1 g is right."""
    return services.start_sheet(paper=set_paper(same_numbers=True), apprentice=learner)


@pytest.fixture
def off_by_two(sheet: AnswerSheet, learner: Person) -> AnswerSheet:
    return weighed_off(sheet, learner, Decimal(2))


def test_under_the_same_rules_nothing_changes(
    off_by_two: AnswerSheet, academy: Academy, educator: Person
) -> None:
    found = remarked(off_by_two.paper, rules_today(academy))
    assert (found.changes, found.corrected, found.rules, found.sheets) == ((), {}, (), 1)
    with pytest.raises(PaperError, match="the same marks"):
        services.remark_paper(paper=off_by_two.paper, by=educator, reason="No.")


def test_another_rule_number_alone_corrects_no_question(
    off_by_two: AnswerSheet, academy: Academy, house: Change
) -> None:
    house("spread", "0.08")
    assert remarked(off_by_two.paper, rules_today(academy)).corrected == {}


def test_a_wider_tolerance_gives_the_mark_and_the_old_marks_stay(
    off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    before = (off_by_two.marks, off_by_two.possible)
    assert before == (Decimal(2), Decimal(4))
    assert not off_by_two.passed
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="The scales were coarse.")
    after = AnswerSheet.objects.get(pk=off_by_two.pk)
    assert (after.marks, after.possible) == before
    assert not after.passed
    assert after.stands.marks == 4
    assert after.stands.passed
    stock = Answer.objects.get(sheet=after, field="stock")
    assert stock.verdict != Answer.Verdict.RIGHT
    assert standing_answers([stock])[stock.pk].verdict == Answer.Verdict.RIGHT
    assert list(passed_now(AnswerSheet.objects.all())) == [after]


def test_marks_can_fall_and_a_passed_sheet_is_passed_no_more(
    sheet: AnswerSheet, learner: Person, educator: Person, house: Change
) -> None:
    off = weighed_off(sheet, learner, Decimal("0.9"))
    assert off.passed
    house("tolerance.grams", "0.5")
    services.remark_paper(paper=off.paper, by=educator, reason="A scale reads to 0.1 g.")
    assert not AnswerSheet.objects.get(pk=off.pk).stands.passed
    assert not passed_now(AnswerSheet.objects.all()).exists()


def test_a_corrected_key_is_told_with_the_rule_that_decided(
    learner: Person, academy: Academy, set_paper: SetPaper, educator: Person, house: Change
) -> None:
    sheet = services.start_sheet(
        paper=set_paper(parts=[WHITE_FIRST], same_numbers=True), apprentice=learner
    )
    question = questions_of(sheet)[0].question
    rule = next(one for one in question.decided if one.rule_key.startswith("white_base_share"))
    services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    house(rule.rule_key, "60")
    found = remarked(sheet.paper, rules_today(academy))
    [changed] = found.rules
    assert (changed.before.value, changed.after.value) == (rule.value, Decimal(60))
    [change] = found.changes
    assert "Share of base shade" in change.fields
    assert change.difference < 0
    services.remark_paper(paper=sheet.paper, by=educator, reason="The share was wrong.")
    assert remarked(sheet.paper, rules_today(academy)).changes == ()


def test_key_guide_sheets_and_slips_are_read_as_they_count_now(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    house: Change,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper(parts=[WHITE_FIRST], same_numbers=True)
    done = services.start_sheet(paper=paper, apprentice=learner)
    [row] = questions_of(done)
    rule = next(one for one in row.question.decided if one.rule_key.startswith("white_base_share"))
    services.hand_in(sheet=done, by=learner, answers=right_answers(done))
    old = right_answers(done)
    for what in PaperPrint.What.values:
        PaperPrint.objects.create(paper=paper, asked_by=educator, what=what)
    house(rule.rule_key, "60")
    services.remark_paper(paper=paper, by=educator, reason="The share was wrong.")
    told = dict(paper.prints.values_list("what", "trouble"))
    assert (told["papers"], told["key"], told["guide"]) == ("", OTHER_KEY, OTHER_KEY)
    now = right_answers(done)
    changed = {at: (old[at], now[at]) for at in old if old[at] != now[at]}
    assert changed
    pages = [" ".join(paper_pages(paper, what=what)) for what in ("key", "guide")]
    at = {"academy": "larkmere", "token": paper.token}
    pages.append(signed_in(educator).get(reverse("exercises:paper-preview", kwargs=at)).text)
    for page in map(html.unescape, pages):
        assert [right for _, right in changed.values() if right not in page] == []
    standing = standing_answers(Answer.objects.filter(sheet=done))
    named = {line.mistake for line in standing.values() if line.mistake}
    assert {slip.words for slip in results_of(paper).slips} == {slip_words(one) for one in named}
    assert all(slip.sentence for slip in results_of(paper).slips)


def test_a_slip_that_was_taken_back_is_not_in_the_list_any_more(
    sheet: AnswerSheet, learner: Person, educator: Person
) -> None:
    slip = next(m for m in questions_of(sheet)[0].question.mistakes if m.field == "stock")
    services.hand_in(sheet=sheet, by=learner, answers={(1, "stock"): str(slip.value)})
    assert paper_rows([sheet.paper])[0].slip == slip_words(slip.id)
    again = Remarking.objects.create(paper=sheet.paper, by=educator, reason="The key was wrong.")
    remark = SheetRemark.objects.create(
        remarking=again, sheet=sheet, marks=2, possible=4, not_safe=False, passed=False
    )
    AnswerRemark.objects.create(
        remark=remark,
        answer=Answer.objects.get(sheet=sheet, field="stock"),
        verdict=Answer.Verdict.RIGHT,
        marks=2,
        unsafe=False,
    )
    assert (paper_rows([sheet.paper])[0].slip, results_of(sheet.paper).slips) == ("", [])


def test_a_question_with_nothing_to_ask_keeps_what_counts_and_not_what_was_drawn(
    off_by_two: AnswerSheet,
    academy: Academy,
    educator: Person,
    house: Change,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="The scales were coarse.")
    monkeypatch.setattr(remarking, "settled_anew", lambda *_: None)
    found = remarked(off_by_two.paper, rules_today(academy))
    assert (found.kept, found.changes, found.corrected) == (1, (), {})


def test_a_second_remarking_counts_before_the_first(
    off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    for tolerance, marks in (("3", 4), ("1", 2)):
        house("tolerance.grams", tolerance)
        services.remark_paper(paper=off_by_two.paper, by=educator, reason="Corrected.")
        assert AnswerSheet.objects.get(pk=off_by_two.pk).stands.marks == marks
    assert off_by_two.remarks.count() == 2


def test_it_is_refused_without_a_reason_or_after_another_change_of_rules(
    off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    house("tolerance.grams", "3")
    for reason, seen, words in ((" ", 1, "Say what was wrong"), ("So.", 0, "Look at the marks")):
        with pytest.raises(PaperError, match=words):
            services.remark_paper(paper=off_by_two.paper, by=educator, reason=reason, seen=seen)
    assert not off_by_two.remarks.exists()


def test_only_an_educator_has_a_paper_marked_again(
    off_by_two: AnswerSheet, assessor: Person, house: Change
) -> None:
    house("tolerance.grams", "3")
    with pytest.raises(PaperError, match="Only an educator"):
        services.remark_paper(paper=off_by_two.paper, by=assessor, reason="So.")


def test_it_leaves_one_entry_without_the_reason(
    off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="Coarse scales of Mia.")
    [entry] = Entry.objects.filter(action="exercises.paper.marked_again")
    assert entry.details["changed"] == [off_by_two.pk]
    assert "Mia" not in str(entry.details)


def at(paper: Paper) -> str:
    return reverse(
        "exercises:paper-mark-again", kwargs={"academy": "larkmere", "token": paper.token}
    )


def test_the_page_shows_whose_marks_change_and_then_does_it(
    signed_in: Callable[[Person], Client], off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    client = signed_in(educator)
    assert "no mark changes" in client.get(at(off_by_two.paper)).content.decode()
    house("tolerance.grams", "3")
    page = client.get(at(off_by_two.paper)).content.decode()
    assert "The marks of 1 of 1 sheets would change" in page
    assert off_by_two.apprentice.name in page
    assert "2 of 4" in page
    assert "4 of 4" in page
    refused = client.post(at(off_by_two.paper), {"reason": "", "seen": "1"}).content.decode()
    assert 'role="alert"' in refused
    assert not off_by_two.remarks.exists()
    answer = client.post(at(off_by_two.paper), {"reason": "Coarse scales.", "seen": "1"})
    assert answer.status_code == 302
    assert off_by_two.remarks.count() == 1
    assert "Coarse scales." in client.get(at(off_by_two.paper)).content.decode()


def test_the_marked_sheet_shows_what_counts_and_what_was_given_before(
    signed_in: Callable[[Person], Client], off_by_two: AnswerSheet, educator: Person, house: Change
) -> None:
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="Coarse scales.")
    address = reverse(
        "exercises:sheet-detail", kwargs={"academy": "larkmere", "token": off_by_two.token}
    )
    page = " ".join(signed_in(off_by_two.apprentice).get(address).content.decode().split())
    assert "Passed. All 4 marks" in page
    assert "2 of 4 marks at handing in" in page
    assert "House rules 1: Coarse scales." in page
    assert "Marked otherwise at handing in." in page


def test_what_is_handed_in_after_it_goes_by_the_corrected_rules(
    off_by_two: AnswerSheet,
    make_member: Callable[..., Person],
    cohort: Cohort,
    educator: Person,
    house: Change,
) -> None:
    late = make_member(Role.APPRENTICE, name="Late Learner")
    CohortPlaceFactory(cohort=cohort, person=late)
    begun = services.start_sheet(paper=off_by_two.paper, apprentice=late)
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="Coarse scales.")
    assert weighed_off(begun, late, Decimal(2)).marks == 4


def test_what_is_drawn_after_it_goes_by_the_corrected_rules(
    off_by_two: AnswerSheet, learner: Person, educator: Person, house: Change
) -> None:
    house("tolerance.grams", "3")
    services.remark_paper(paper=off_by_two.paper, by=educator, reason="Coarse scales.")
    again = services.start_sheet(paper=off_by_two.paper, apprentice=learner)
    [question] = questions_of(again)
    assert question.question.rule_set == 1
    assert question.question.field("stock").tolerance.plain == 3


def test_each_part_keeps_its_own_label(
    learner: Person, academy: Academy, set_paper: SetPaper, educator: Person, house: Change
) -> None:
    labels = [
        ProductLabel.objects.create(
            academy=academy,
            key=f"cream-{ratio[-1]}",
            name=f"Cream {ratio}",
            fields={"kind": "permanent", "ratios": [ratio]},
        )
        for ratio in ("1.5", "1.2")
    ]
    parts = [PartWanted("mixing-ratio-quantities", Level.EXAM, 1, label) for label in labels]
    sheet = services.start_sheet(
        paper=set_paper(parts=parts, same_numbers=True), apprentice=learner
    )
    services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    house("spread", "0.08")
    found = remarked(sheet.paper, rules_today(academy))
    assert (found.corrected, found.changes) == ({}, ())
