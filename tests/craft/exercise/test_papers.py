"""Papers: no question twice, the same seed the same paper, own numbers for each apprentice."""

from __future__ import annotations

import pytest

from academy.craft.exercise.engine import (
    ExerciseError,
    Level,
    PaperPart,
    draw,
    draw_paper,
    seed_from,
)
from academy.craft.rules import Rules, standard_rules, training_labels

RULES = Rules(standard_rules())
PARTS = [
    PaperPart("dilute-a-developer", Level.FIRST, 10),
    PaperPart("dilute-a-developer", Level.WORKING, 10),
    PaperPart("mixing-ratio-quantities", Level.EXAM, 5),
    PaperPart("cover-white-hair", Level.WORKING, 5),
]


def test_a_paper_holds_no_question_twice() -> None:
    for seed in range(20):
        paper = draw_paper(PARTS, seed, RULES)
        assert len(paper) == 30
        assert len({question.identity for question in paper}) == 30


def test_the_same_seed_gives_the_same_paper() -> None:
    assert draw_paper(PARTS, 7, RULES) == draw_paper(PARTS, 7, RULES)
    assert draw_paper(PARTS, 7, RULES) != draw_paper(PARTS, 8, RULES)


def test_each_apprentice_gets_their_own_numbers_every_time_the_same() -> None:
    papers = [draw_paper(PARTS, 7, RULES, person) for person in (1, 2)]
    assert papers[0] != papers[1]
    assert papers[0] == draw_paper(PARTS, 7, RULES, 1)


def test_a_question_of_a_paper_can_be_drawn_again_from_its_own_seed() -> None:
    for question in draw_paper(PARTS, 9, RULES, 4):
        assert draw(question.family, question.level, question.seed, RULES) == question


def test_a_paper_that_asks_for_more_than_there_is_is_refused() -> None:
    with pytest.raises(ExerciseError, match="Ask for fewer"):
        draw_paper([PaperPart("mixing-ratio-quantities", Level.FIRST, 400)], 1, RULES)


def test_a_part_is_drawn_under_its_own_label() -> None:
    label = training_labels()["training-cream-b"]
    part = PaperPart("cover-white-hair", Level.EXAM, 4, label)
    paper = draw_paper([part], 3, RULES)
    assert all("Training cream B" in question.text for question in paper)


def test_a_question_seen_before_is_skipped() -> None:
    seen: list[str] = []
    for _ in range(12):
        question = draw("dilute-a-developer", Level.FIRST, 5, RULES, avoid=seen)
        assert question.identity not in seen
        seen.append(question.identity)


def test_where_all_were_seen_the_oldest_comes_again() -> None:
    seeds = range(3000)
    everything = {draw("dilute-a-developer", Level.FIRST, s, RULES).identity for s in seeds}
    seen = sorted(everything)
    assert draw("dilute-a-developer", Level.FIRST, 1, RULES, avoid=seen).identity == seen[0]


def test_a_paper_of_seen_questions_holds_the_oldest_once_each() -> None:
    everything = {draw("dilute-a-developer", Level.FIRST, s, RULES).identity for s in range(3000)}
    seen = sorted(everything)
    paper = draw_paper([PaperPart("dilute-a-developer", Level.FIRST, 4)], 1, RULES, 3, avoid=seen)
    assert [question.identity for question in paper] == seen[:4]


def test_a_paper_can_hold_every_question_there_is() -> None:
    everything = {draw("dilute-a-developer", Level.FIRST, s, RULES).identity for s in range(3000)}
    part = PaperPart("dilute-a-developer", Level.FIRST, len(everything))
    paper = draw_paper([part], 5, RULES)
    assert {question.identity for question in paper} == everything


def test_seeds_are_stable_and_fit_a_database() -> None:
    assert seed_from(7, "all", 0, 0) == seed_from(7, "all", 0, 0)
    assert len({seed_from(7, person) for person in range(1000)}) == 1000
    assert all(0 <= seed_from(7, person) < 2**63 for person in range(100))
    assert seed_from("blockwork", 1) == 4792055087701563545
