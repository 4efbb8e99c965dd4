"""Deciding at a strand check. Figures: trade.md, computed (4.12 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    Level,
    Question,
    Safety,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
    worked,
)
from academy.craft.exercise.families.strand_check_decision import Scene, StrandCheckDecision
from academy.craft.measure import NONE, of_clock
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = StrandCheckDecision()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]

RESISTANT = Scene(
    level="working",
    now=620,
    scalp="calm",
    process="permanent_white_resistant",
    ended=580,
    look="translucent",
    strand="stretches and returns",
    place="last",
    wiped=True,
    ceiling=D(50),
    ceiling_rule="50 min, the standard rule",
    step=D(5),
    step_shown=False,
)
FOIL = replace(
    RESISTANT,
    process="lightener_foils",
    ended=785,
    now=832,
    look="not yet at target",
    place="first",
)


def posed(scene: Scene) -> Question:
    question = pose(FAMILY, Drawn(scene), Level(scene.level), RULES)
    assert question is not None
    return question


def slips(scene: Scene) -> set[tuple[str, str, object]]:
    return {(m.id, m.field, m.value) for m in posed(scene).mistakes}


def decided(scene: Scene) -> tuple[object, object, object]:
    key = posed(scene).key
    return key["decision"], key["next_check"], key["latest_rinse"]


def test_resistant_white_hair_translucent_after_forty_minutes() -> None:
    assert decided(RESISTANT) == ("extend", of_clock("10:25"), of_clock("10:30"))
    again = replace(RESISTANT, now=625)
    assert decided(again) == ("extend", of_clock("10:30"), of_clock("10:30"))
    over = replace(RESISTANT, now=630)
    assert decided(over) == ("rinse", NONE, of_clock("10:30"))
    assert any("plan a correction" in line.sum for line in posed(over).solution)


def test_a_foil_that_is_not_there_three_minutes_before_its_ceiling() -> None:
    assert decided(FOIL) == ("rinse", NONE, of_clock("13:55"))
    assert ("past-ceiling", "next_check", of_clock("13:57")) in slips(FOIL)
    sums = [line.sum for line in posed(FOIL).solution]
    assert "13:52 + 5 min = 13:57; the ceiling is at 13:55" in sums
    assert "one more step would pass the ceiling; plan a correction" in sums


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"scalp": "burns"}, ("stop", NONE, "10:20")),
        ({"strand": "breaks"}, ("stop", NONE, "10:20")),
        ({"strand": "stretches and stays", "look": "covered"}, ("stop", NONE, "10:20")),
        ({"now": 640}, ("rinse", NONE, "10:40")),
        ({"now": 640, "wiped": False, "place": "first"}, ("rinse", NONE, "10:40")),
        ({"now": 640, "scalp": "burns"}, ("stop", NONE, "10:40")),
        ({"wiped": False}, ("check", "10:20", "10:30")),
        ({"place": "first"}, ("check", "10:20", "10:30")),
        ({"place": "first", "look": "covered"}, ("check", "10:20", "10:30")),
        ({"look": "covered"}, ("rinse", NONE, "10:30")),
        ({"now": 626}, ("rinse", NONE, "10:30")),
        ({"scalp": "tingles"}, ("extend", "10:25", "10:30")),
        ({"process": "lightener_foils", "look": "at target"}, ("check", "10:20", "10:30")),
        (
            {"process": "lightener_foils", "look": "at target", "place": "first"},
            ("rinse", NONE, "10:30"),
        ),
    ],
)
def test_the_first_rule_that_fits_decides(
    changed: dict[str, object], expected: tuple[str, str, str]
) -> None:
    decision, after, latest = expected
    scene = replace(RESISTANT, **changed)  # type: ignore[arg-type]
    wanted = NONE if after == NONE else of_clock(after)
    assert decided(scene) == (decision, wanted, of_clock(latest))


def test_tingling_is_noted_and_changes_nothing() -> None:
    lines = posed(replace(RESISTANT, scalp="tingles")).solution
    assert lines[0].sum.startswith("scalp tingles: ask, protect, note it")
    assert lines[0].result == "no reason to stop"


def test_each_slip_stands_under_its_own_condition() -> None:
    assert slips(RESISTANT) == {
        ("long-step", "next_check", of_clock("10:30")),
        ("rinse-translucent", "decision", "rinse"),
    }
    assert slips(replace(RESISTANT, now=630)) == {
        ("past-ceiling", "next_check", of_clock("10:35")),
        ("past-ceiling", "next_check", of_clock("10:40")),
        ("past-ceiling", "decision", "extend"),
    }
    assert slips(replace(RESISTANT, scalp="burns")) == {
        ("ignored-damage", "next_check", of_clock("10:25")),
        ("ignored-damage", "decision", "extend"),
        ("ignored-damage", "decision", "rinse"),
    }
    no_check = [
        (m.id, m.value)
        for changed in ({"wiped": False}, {"place": "first"})
        for m in posed(replace(RESISTANT, **changed)).mistakes
        if m.field == "decision"
    ]
    assert no_check == 2 * [("wrong-place", "extend"), ("wrong-place", "rinse")]
    assert slips(replace(RESISTANT, look="covered")) == set()


def test_nobody_is_told_of_five_more_minutes_where_it_has_to_end() -> None:
    over = (replace(RESISTANT, scalp="burns"), replace(RESISTANT, look="covered"))
    for scene in (*over, replace(RESISTANT, now=630)):
        assert "One step is five minutes." not in {m.sentence for m in posed(scene).mistakes}


def test_going_on_where_it_has_to_end_is_not_safe() -> None:
    stop = posed(replace(RESISTANT, scalp="burns"))
    for going_on in ("extend", "check"):
        marked = mark(stop, {"decision": going_on})
        assert marked.not_safe
        assert marked.of("decision").sentence.startswith("Not safe: that would go on")
    rinse = mark(stop, {"decision": "rinse"})
    assert not rinse.not_safe
    assert rinse.of("decision").mistake == "ignored-damage"
    at_ceiling = mark(posed(replace(RESISTANT, now=630)), {"decision": "extend"})
    assert at_ceiling.not_safe
    assert at_ceiling.of("decision").mistake == "past-ceiling"


def test_stopping_or_rinsing_early_is_wrong_and_safe() -> None:
    question = posed(RESISTANT)
    early = mark(question, {"decision": "rinse now", "latest_rinse": "10:25"})
    assert not early.not_safe
    assert early.of("decision").sentence == (
        "Translucent is not covered; five more minutes are allowed."
    )
    assert early.of("latest_rinse").verdict is Verdict.WRONG
    late = mark(question, {"latest_rinse": "10:31"})
    assert late.not_safe


def test_none_is_the_next_check_where_it_ends_here() -> None:
    question = posed(replace(RESISTANT, look="covered"))
    for written in ("none", "-", "None."):
        assert mark(question, {"next_check": written}).of("next_check").verdict is Verdict.RIGHT
    assert mark(question, {"next_check": "10:25"}).of("next_check").verdict is Verdict.WRONG
    assert "Write none" in mark(question, {"next_check": "?"}).of("next_check").sentence


def test_the_next_check_carries_over_from_a_decision_that_is_not_unsafe() -> None:
    question = posed(RESISTANT)
    answers = {"decision": "rinse", "next_check": "none"}
    carried = mark(question, answers).of("next_check")
    assert carried.verdict is Verdict.FOLLOW_THROUGH
    assert carried.working == "it ends here = none"
    own = {line.line.field: line.own for line in worked(question, answers)}["next_check"]
    assert own is not None
    assert own.result == "none"
    again = mark(question, {"decision": "check again", "next_check": "10:20"}).of("next_check")
    assert again.working == "at once, 10:20 = 10:20"
    unsafe = mark(
        posed(replace(RESISTANT, look="covered")), {"decision": "extend", "next_check": "10:25"}
    )
    assert unsafe.of("next_check").verdict is Verdict.WRONG


def test_two_processes_are_decided_each_by_its_own_clock() -> None:
    scene = replace(
        RESISTANT,
        level="exam",
        foil_ended=600,
        foil_look="not yet at target",
        foil_strand="breaks",
        foil_place="first",
        foil_wiped=True,
        foil_ceiling=D(50),
        foil_ceiling_rule="50 min, the standard rule",
        foil_step=D(5),
    )
    question = posed(scene)
    assert question.key == {
        "roots_decision": "extend",
        "roots_next_check": of_clock("10:25"),
        "roots_latest_rinse": of_clock("10:30"),
        "foils_decision": "stop",
        "foils_next_check": NONE,
        "foils_latest_rinse": of_clock("10:20"),
    }
    assert [(f.key, f.weight) for f in question.fields if f.weight == 2] == [
        ("roots_decision", 2),
        ("foils_decision", 2),
    ]
    burnt = posed(replace(scene, scalp="burns"))
    assert burnt.key["roots_decision"] == burnt.key["foils_decision"] == "stop"


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.FIRST, ["decision", "next_check"]),
        (Level.WORKING, ["decision", "next_check", "latest_rinse"]),
        (
            Level.EXAM,
            [
                f"{side}_{field}"
                for side in ("roots", "foils")
                for field in ("decision", "next_check", "latest_rinse")
            ],
        ),
    ],
)
def test_each_level_asks_its_fields(level: Level, asked: list[str]) -> None:
    question = draw(FAMILY.key, level, 3, RULES)
    assert [field.key for field in question.fields] == asked
    safety = {field.key.rpartition("s_")[2]: field.safety for field in question.fields}
    assert safety["decision"] is Safety.LISTED
    assert safety["next_check"] is None
    assert safety.get("latest_rinse", Safety.LATER) is Safety.LATER


def test_level_first_knows_two_slips() -> None:
    questions = [draw(FAMILY.key, Level.FIRST, seed, RULES) for seed in range(300)]
    assert {m.id for q in questions for m in q.mistakes} == {"rinse-translucent", "long-step"}


def test_every_rule_comes_up_at_level_working() -> None:
    found = [draw(FAMILY.key, Level.WORKING, seed, RULES) for seed in range(300)]
    decisions = [str(q.key["decision"]) for q in found]
    for decision in ("rinse", "extend", "check", "stop"):
        assert decisions.count(decision) > 20
    processes = {q.parameters["process"] for q in found}
    assert processes == {"permanent_white_normal", "permanent_white_resistant", "lightener_foils"}


def test_a_house_step_is_printed_and_kept() -> None:
    house = {"development.permanent_white_resistant.extension": D(3)}
    question = settled_anew(posed(RESISTANT), Rules(BOOK, house, None, 8))
    assert question is not None
    assert question.key["next_check"] == of_clock("10:23")
    assert {"House rule, one step": "3"}.items() <= {
        given.label: given.value for given in question.givens
    }.items()
    assert "One step is three minutes." in {mistake.sentence for mistake in question.mistakes}


def test_the_ceiling_of_a_label_decides_and_is_named() -> None:
    question = settled_anew(
        posed(RESISTANT), RULES.with_label(training_labels()["training-cream-a"])
    )
    assert question is not None
    assert question.key["latest_rinse"] == of_clock("10:25")
    assert question.decided[0].sentence == "45 min, from the label of Training cream A"
    assert "from the label of Training cream A" in question.solution[-1].words


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("count", MANY)
def test_keys_agree_with_a_reckoning_of_their_own_and_numbers_stay_in_range(
    level: Level, count: int
) -> None:
    for seed in range(count):
        question = draw(FAMILY.key, level, seed, RULES)
        rows = {given.label.casefold(): given.value for given in question.givens}
        for name in ("roots, ", "foils, ") if level is Level.EXAM else ("",):
            in_foils = "lightener" in rows[f"{name}process"]
            began = rows[name + ("first foil closed" if in_foils else "application ended")]
            hours, minutes = map(int, began.split(":"))
            start = 60 * hours + minutes
            hours, minutes = map(int, rows["now"].split(":"))
            now = 60 * hours + minutes
            end = start + int(rows[f"{name}ceiling"])
            assert 8 * 60 < start < now <= 18 * 60
            assert end - 50 <= now <= end + 5
            assert now - start >= (20 if in_foils else 35)
            if level is Level.FIRST:
                assert now % 5 == start % 5 == 0

            where = rows[f"{name}looked at"].split()[-1]
            if rows["scalp"] == "burns" or rows[f"{name}strand"] != "stretches and returns":
                expected: tuple[str, int | None, int] = ("stop", None, now)
            elif now >= end:
                expected = ("rinse", None, now)
            elif rows[f"{name}wiped"] == "no" or where != ("first" if in_foils else "last"):
                expected = ("check", now, end)
            elif rows[f"{name}hair looks"] in {"covered", "at target"} or now + 5 > end:
                expected = ("rinse", None, end)
            else:
                expected = ("extend", now + 5, end)
            prefix = name.replace(", ", "_")
            after = question.key[f"{prefix}next_check"]
            assert question.key[f"{prefix}decision"] == expected[0]
            assert (None if after == NONE else after) == expected[1]
            assert question.key[f"{prefix}latest_rinse"] == expected[2]
