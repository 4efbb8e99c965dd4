from __future__ import annotations

from academy.craft.judging.scale import MET, Level, Rating


def test_the_five_levels_have_the_words_of_the_level_boxes() -> None:
    words = ["not shown", "weak", "nearly", "sound", "sure"]
    assert [level.word for level in Level] == words


def test_a_criterion_is_met_at_3_to_standard_and_unaided() -> None:
    assert int(MET) == 3
    assert MET.ladder == "to standard, unaided"


def test_every_level_and_rating_has_its_own_words() -> None:
    assert len({level.ladder for level in Level}) == 5
    assert [rating.word for rating in Rating] == [
        "clearly not yet",
        "just below",
        "borderline",
        "sound",
        "very good",
    ]
