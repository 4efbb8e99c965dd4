from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from academy.audit.models import Entry
from academy.craft.rules import standard_rules
from academy.curriculum.house import rules_today
from academy.curriculum.services.house import make_rule_set
from academy.practice.models import PracticeSession
from academy.practice.services import Check, PracticeError
from academy.practice.timing import PROCESSES, all_timings, longest, timing_of

if TYPE_CHECKING:
    from academy.people.models import Academy, Person

Log = Callable[..., PracticeSession]
LOOK = Check("nape", 40, wiped=True, last_place=True, seen="translucent", decision="extend")


def test_every_process_with_a_ceiling_in_the_rules_is_on_offer() -> None:
    keys = {key.split(".")[1] for key in standard_rules().rules if key.endswith(".ceiling")}
    assert keys == set(PROCESSES)


@pytest.mark.parametrize(
    ("process", "minute", "fits"),
    [
        # Ceilings and extensions of trade.md 2.4: 45 of Mag, the others common practice, no source.
        ("permanent", 40, True),
        ("permanent", 41, False),
        ("permanent_white_resistant", 45, True),
        ("permanent_white_resistant", 46, False),
        ("quasi", 20, True),
        ("quasi", 21, False),
        ("gloss", 13, True),
        ("gloss", 14, False),
        ("lightener_foils", 45, True),
        ("lightener_foils", 46, False),
    ],
)
def test_an_extension_past_the_ceiling_is_refused(
    log: Log, process: str, minute: int, fits: bool
) -> None:
    check = replace(LOOK, minute=minute)
    if fits:
        assert log(process=process, checks=[check]).strand_checks.get().minute == minute
        return
    with pytest.raises(PracticeError, match="log it as an event") as refused:
        log(process=process, checks=[check])
    assert refused.value.field == "c1_decision"
    assert not PracticeSession.objects.exists()


def test_what_happened_past_the_ceiling_is_logged_as_an_event(log: Log) -> None:
    check = replace(LOOK, minute=44, past_ceiling="Phone rang; rinsed at 49.")
    session = log(process="permanent", checks=[check])
    assert session.past_ceiling
    entry = Entry.objects.get(action="practice.session.logged")
    assert entry.details["past_ceiling"] == 1


def test_a_rinse_past_the_ceiling_needs_its_event(log: Log) -> None:
    late = replace(LOOK, minute=46, decision="rinse")
    with pytest.raises(PracticeError, match="past the ceiling of 45 min") as refused:
        log(process="permanent", checks=[replace(late, minute=45), late])
    assert refused.value.field == "c2_past_ceiling"


def test_semi_permanent_colour_is_not_extended(log: Log) -> None:
    with pytest.raises(PracticeError, match="not extended"):
        log(process="semi", checks=[replace(LOOK, minute=5)])


def test_a_session_keeps_the_ceiling_it_was_held_to(log: Log, academy: Academy) -> None:
    session = log(process="permanent", checks=[LOOK])
    assert session.timing["ceiling"] == 45
    assert session.timing["says"] == "45 min, the standard rule"


def test_a_house_rule_moves_the_ceiling(log: Log, academy: Academy, educator: Person) -> None:
    changes = {"development.permanent.ceiling": Decimal(40)}
    make_rule_set(academy=academy, by=educator, changes=changes)
    with pytest.raises(PracticeError, match="over 40 min"):
        log(process="permanent", checks=[LOOK])


def test_without_a_process_the_latest_of_all_ceilings_holds(log: Log, academy: Academy) -> None:
    latest = longest(rules_today(academy)).ceiling
    assert latest == max(timing.ceiling for timing in all_timings(rules_today(academy)))
    assert log(checks=[replace(LOOK, minute=latest - 5)]).timing == {}
    with pytest.raises(PracticeError, match="log it as an event"):
        log(checks=[replace(LOOK, minute=latest - 4)])


def test_an_unknown_process_has_no_timing(academy: Academy) -> None:
    with pytest.raises(KeyError):
        timing_of(rules_today(academy), "henna")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"zone": "chin"}, "c1_zone"),
        ({"minute": -1}, "c1_minute"),
        ({"minute": 181}, "c1_minute"),
        ({"seen": "nice"}, "c1_seen"),
        ({"decision": "wait"}, "c1_decision"),
        ({"note": "x" * 301}, "c1_note"),
    ],
)
def test_a_check_that_cannot_be_is_refused(log: Log, wrong: dict[str, Any], field: str) -> None:
    with pytest.raises(PracticeError) as refused:
        log(process="permanent", checks=[replace(LOOK, **wrong)])
    assert refused.value.field == field


def test_more_than_three_checks_are_refused(log: Log) -> None:
    with pytest.raises(PracticeError, match="At most 3"):
        log(process="permanent", checks=[LOOK] * 4)
