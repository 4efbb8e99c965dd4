"""What heads come to, whether they suffice for a sign-off, and the one word for a standing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, strategies as st

from academy.assessment.results import (
    Evidence,
    Head,
    Result,
    Signed,
    Standing,
    competent_run,
    conditions,
    in_date_until,
    standing,
)

TODAY = date(2026, 11, 25)
SIGNER = 7


def head(
    number: int = 1,
    *,
    days_ago: int = 1,
    first: str = "competent",
    second: str = "",
    needed: bool = False,
    ruling: str = "",
    boxes: int = 4,
    assessor: int = SIGNER,
) -> Head:
    day = TODAY - timedelta(days=days_ago)
    return Head(number, assessor, day, first, needed, second, ruling, boxes)


ENOUGH = Evidence(
    heads=[head(1, days_ago=3), head(2, days_ago=1)],
    heads_required=2,
    evidence_months=12,
    today=TODAY,
    practice_met=True,
    practice_words="The practice target is met.",
)

ONE_MORE = head(2, second="not_yet", ruling="one_more")


def unmet(evidence: Evidence, signer: int | None = SIGNER) -> list[str]:
    return [condition.key for condition in conditions(evidence, signer) if not condition.met]


@pytest.mark.parametrize(
    ("one", "result"),
    [
        (head(), Result.COMPETENT),
        (head(first="not_yet"), Result.NOT_YET),
        (head(needed=True), Result.SECOND_LOOK),
        (head(first="not_yet", needed=True), Result.SECOND_LOOK),
        (head(needed=True, second="competent"), Result.COMPETENT),
        (head(first="not_yet", needed=True, second="not_yet"), Result.NOT_YET),
        (head(needed=True, second="not_yet"), Result.RULING),
        (head(needed=True, second="not_yet", ruling="first"), Result.COMPETENT),
        (head(needed=True, second="not_yet", ruling="second"), Result.NOT_YET),
        (head(needed=True, second="not_yet", ruling="one_more"), Result.ONE_MORE),
    ],
)
def test_two_marks_and_a_ruling_give_one_result(one: Head, result: Result) -> None:
    assert one.result is result


@pytest.mark.parametrize(
    ("heads", "run"),
    [
        ([], []),
        ([head(1)], [1]),
        ([head(2, days_ago=1), head(1, days_ago=5)], [1, 2]),
        ([head(1, days_ago=5), head(2, days_ago=3, first="not_yet"), head(3)], [3]),
        ([head(1, days_ago=5), head(2, days_ago=3, needed=True), head(3)], [1, 3]),
        ([head(1, days_ago=400), head(2)], [2]),
        ([head(1, days_ago=400, first="not_yet"), head(2)], [2]),
        ([head(1), head(2, first="not_yet")], []),
    ],
)
def test_the_run_holds_the_latest_competent_heads_in_a_row(
    heads: list[Head], run: list[int]
) -> None:
    assert [one.id for one in competent_run(heads, today=TODAY)] == run


def test_evidence_counts_up_to_the_day_twelve_months_ago() -> None:
    on_the_day = replace(head(), day=date(2025, 11, 25))
    before = replace(head(), day=date(2025, 11, 24))
    assert competent_run([on_the_day], today=TODAY) == [on_the_day]
    assert competent_run([before], today=TODAY) == []


@given(st.lists(st.sampled_from(["competent", "not_yet"]), max_size=12))
def test_a_run_is_what_follows_the_last_not_yet(marks: list[str]) -> None:
    heads = [head(n, days_ago=20 - n, first=mark) for n, mark in enumerate(marks)]
    after = marks[::-1].index("not_yet") if "not_yet" in marks else len(marks)
    assert len(competent_run(heads, today=TODAY)) == after


def test_everything_there_lets_the_assessor_sign() -> None:
    assert unmet(ENOUGH) == []


@pytest.mark.parametrize(
    ("evidence", "keys"),
    [
        (replace(ENOUGH, heads=[head()]), ["heads"]),
        (replace(ENOUGH, heads=[head(1), head(2)]), ["days"]),
        (replace(ENOUGH, practice_met=False), ["practice"]),
        (replace(ENOUGH, papers_open=["Diluting"]), ["papers"]),
        (replace(ENOUGH, heads=[*ENOUGH.heads, head(3, needed=True)]), ["looks"]),
        (
            replace(ENOUGH, heads=[*ENOUGH.heads, head(3, needed=True, second="not_yet")]),
            ["looks"],
        ),
        (replace(ENOUGH, heads=[head(1, days_ago=3, boxes=2), head(2)]), ["feedback"]),
        (
            replace(ENOUGH, heads=[head(1, days_ago=3, assessor=8), head(2, assessor=9)]),
            ["signer"],
        ),
        (replace(ENOUGH, heads=[]), ["heads", "signer"]),
    ],
)
def test_each_condition_stands_for_itself(evidence: Evidence, keys: list[str]) -> None:
    assert unmet(evidence) == keys


def test_one_head_asks_for_no_second_day() -> None:
    one = replace(ENOUGH, heads=[head()], heads_required=1)
    assert "days" not in [condition.key for condition in conditions(one, SIGNER)]
    assert unmet(one) == []


def test_only_the_latest_heads_asked_for_are_named() -> None:
    heads = [head(n, days_ago=9 - n) for n in range(1, 6)]
    assert [one.id for one in replace(ENOUGH, heads=heads).run] == [4, 5]


@pytest.mark.parametrize(
    ("signed_on", "months", "until"),
    [
        (date(2026, 11, 25), 24, date(2028, 11, 25)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
    ],
)
def test_a_sign_off_is_in_date_for_whole_months(signed_on: date, months: int, until: date) -> None:
    assert in_date_until(signed_on, months) == until


def signed(*, days: int = 100, clear: bool = True) -> Signed:
    return Signed(1, TODAY + timedelta(days=days), datetime(2026, 6, 1, tzinfo=UTC), clear)


NOTHING = replace(ENOUGH, heads=[], practice_met=False)


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        ({"evidence": NOTHING}, Standing.NOT_STARTED),
        ({"evidence": NOTHING, "practised": True}, Standing.PRACTISING),
        ({"evidence": replace(ENOUGH, heads=[]), "practised": True}, Standing.READY),
        (
            {"evidence": replace(ENOUGH, heads=[]), "practised": True, "needs_met": False},
            Standing.PRACTISING,
        ),
        ({"evidence": replace(ENOUGH, heads=[]), "practised": False}, Standing.NOT_STARTED),
        ({"evidence": replace(ENOUGH, heads=[head(first="not_yet")])}, Standing.NOT_YET),
        ({"evidence": replace(ENOUGH, heads=[head(needed=True)])}, Standing.SECOND_LOOK),
        ({"evidence": replace(ENOUGH, heads=[head()])}, Standing.READY),
        (
            {"evidence": replace(ENOUGH, heads=[head()], practice_met=False)},
            Standing.PRACTISING,
        ),
        ({"evidence": ENOUGH}, Standing.TO_SIGN),
        ({"evidence": replace(ENOUGH, papers_open=["Mixing"])}, Standing.HEADS_DONE),
        ({"evidence": replace(ENOUGH, boxes_needed=5)}, Standing.HEADS_DONE),
        ({"evidence": replace(ENOUGH, papers_open=["Mixing"], heads=[head()])}, Standing.READY),
        (
            {"evidence": replace(ENOUGH, papers_open=["Mixing"], practice_met=False)},
            Standing.PRACTISING,
        ),
        (
            {"evidence": replace(ENOUGH, heads=[head(1, days_ago=2, first="not_yet"), ONE_MORE])},
            Standing.NOT_YET,
        ),
        ({"evidence": ENOUGH, "signed": signed(clear=False)}, Standing.VERIFY),
        ({"evidence": ENOUGH, "signed": signed()}, Standing.COMPETENT),
        ({"evidence": ENOUGH, "signed": signed(days=0)}, Standing.COMPETENT),
        ({"evidence": ENOUGH, "signed": signed(days=-1)}, Standing.EXPIRED),
        ({"evidence": ENOUGH, "signed": signed(days=-1, clear=False)}, Standing.EXPIRED),
    ],
)
def test_one_word_says_where_an_apprentice_stands(facts: dict[str, object], word: Standing) -> None:
    known = {"signed": None, "practised": False, "needs_met": True, **facts}
    assert standing(today=TODAY, **known) is word  # type: ignore[arg-type]


def test_what_the_sign_off_waits_for_is_named_where_the_heads_are_enough() -> None:
    assert ENOUGH.sign_off_waits == ""
    waiting = replace(ENOUGH, papers_open=["Mixing"], boxes_needed=5)
    assert waiting.sign_off_waits.startswith("The sign-off waits. Not passed yet: Mixing. Feedback")
    assert replace(waiting, heads=[head()]).sign_off_waits == ""
