"""House rules: a change is a new number, a value outside its range is refused with the range."""

from __future__ import annotations

import html
import re
import tomllib
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, connection, transaction

from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.craft.rules import DecidedBy, RuleValue, standard_rules
from academy.curriculum.errors import CurriculumError
from academy.curriculum.house import rules_of, rules_today
from academy.curriculum.house_page import groups
from academy.curriculum.models import RuleSet
from academy.curriculum.reference import SHARED, source_words
from academy.curriculum.services import make_rule_set

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person


def test_without_a_house_rule_the_standard_decides(academy: Academy) -> None:
    decided = rules_today(academy).decide("start_lead")
    assert (decided.number, decided.decided_by, decided.rule_set) == (
        Decimal(10),
        DecidedBy.DEFAULT,
        0,
    )


def test_a_house_rule_decides_from_then_on_and_the_old_number_still_reads_as_it_was(
    academy: Academy, educator: Person
) -> None:
    first = make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(15)})
    make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal("12.5")})
    assert rules_today(academy).decide("start_lead").sentence == (
        "12.5 points, from your house rule 2"
    )
    assert rules_of(first).number("start_lead") == 15


def test_a_rule_is_given_back_to_the_standard(academy: Academy, educator: Person) -> None:
    make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(15)})
    made = make_rule_set(academy=academy, by=educator, changes={"start_lead": None})
    assert (made.number, made.rules) == (2, {})


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"start_lead": Decimal(31)}, "Allowed: 5 to 30 points."),
        ({"start_lead": Decimal(-1)}, "Allowed: 5 to 30 points."),
        ({"white_base_share.normal.40": Decimal(101)}, "Allowed: 0 to 100 %."),
        ({"white_rule": "guess"}, "one of bands, half, proportional"),
        ({"legal_limit.peroxide": Decimal(13)}, "fixed by law"),
        ({"tea": Decimal(1)}, "no rule called tea"),
    ],
)
def test_a_value_that_may_not_be_set_is_refused_with_the_reason(
    changes: dict[str, RuleValue], sentence: str, academy: Academy, educator: Person
) -> None:
    with pytest.raises(CurriculumError) as caught:
        make_rule_set(academy=academy, by=educator, changes=changes)
    assert sentence in caught.value.message
    assert not RuleSet.objects.exists()
    assert not Entry.objects.exists()


def test_all_values_that_may_not_be_set_are_named_at_once(
    academy: Academy, educator: Person
) -> None:
    changes: dict[str, RuleValue | None] = {
        "start_lead": Decimal(99),
        "white_base_share.normal.0": Decimal(-1),
    }
    with pytest.raises(CurriculumError) as caught:
        make_rule_set(academy=academy, by=educator, changes=changes)
    assert [problem.path for problem in caught.value.problems] == list(changes)


def test_a_set_that_changes_nothing_is_refused(academy: Academy, educator: Person) -> None:
    with pytest.raises(CurriculumError, match="Nothing differs"):
        make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(10)})


def test_a_set_written_against_an_older_number_is_refused(
    academy: Academy, educator: Person
) -> None:
    make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(15)}, seen=0)
    with pytest.raises(CurriculumError, match="House rules 1 were made after"):
        make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(20)}, seen=0)


def test_a_set_never_changes(academy: Academy, educator: Person) -> None:
    made = make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(15)})
    with pytest.raises(AuditError):
        made.save()
    with pytest.raises(AuditError):
        RuleSet.objects.filter(pk=made.pk).update(rules={})
    with pytest.raises(DatabaseError, match="stands"), transaction.atomic():
        connection.cursor().execute(
            "UPDATE curriculum_ruleset SET number = 9 WHERE id = %s", [made.pk]
        )


def test_only_educators_make_house_rules(academy: Academy, manager: Person) -> None:
    with pytest.raises(CurriculumError, match="Only an educator"):
        make_rule_set(academy=academy, by=manager, changes={"start_lead": Decimal(15)})


def test_house_rules_of_one_academy_do_not_hold_in_another(
    academy: Academy, other_academy: Academy, educator: Person
) -> None:
    make_rule_set(academy=academy, by=educator, changes={"start_lead": Decimal(15)})
    assert rules_today(other_academy).number("start_lead") == 10


def test_every_rule_stands_on_the_page() -> None:
    shown = {row.rule.key for group in groups({}) for row in group.rows}
    assert shown == set(standard_rules().rules)


def test_every_source_of_a_standard_rule_reads_as_words() -> None:
    keys = set(
        re.findall(r"^\| (\w+) \|", (SHARED / "rules" / "README.md").read_text(), re.MULTILINE)
    )
    rows = tomllib.loads((SHARED / "rule_sources.toml").read_text())["source"]
    assert {row["key"] for row in rows} == keys - {"key"}
    assert source_words("AnnexIII entry 8a") == "EC regulation 1223/2009, Annex III, entry 8a"
    assert source_words("salon texts, 1.25") == "salon texts; 1.25"


@pytest.fixture
def client(educator: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(educator)


@pytest.mark.parametrize(
    ("typed", "kept"), [("15", "15"), ("12,5", "12.5"), (" 15 ", "15"), ("15.0", "15")]
)
def test_a_house_rule_is_made_on_its_page(
    typed: str, kept: str, client: Client, base: str, academy: Academy
) -> None:
    url = f"{base}house-rules/start_lead/"
    answer = client.post(url, {"seen": "0", "start_lead": typed, "note": "A trial"})
    assert answer.status_code == 302
    assert RuleSet.objects.get(academy=academy).rules == {"start_lead": kept}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("31", "Allowed: 5 to 30 points."),
        ("-15", "Allowed: 5 to 30 points."),
        ("fifteen", "This is not a figure."),
        ("1,5,2", "Two marks in one figure."),
        ("12.12345", "Too fine"),
        ("", "Nothing differs"),
        ("10", "Nothing differs"),
    ],
)
def test_a_house_rule_that_cannot_stand_keeps_what_was_typed(
    typed: str, sentence: str, client: Client, base: str
) -> None:
    page = client.post(
        f"{base}house-rules/start_lead/", {"seen": "0", "start_lead": typed, "note": "A trial"}
    )
    text = html.unescape(page.content.decode())
    assert page.status_code == 200
    assert sentence in text
    assert 'value="A trial"' in text
    assert not typed or f'value="{typed}"' in text
    assert not RuleSet.objects.exists()


@pytest.mark.parametrize("seen", ["", "x", "7", "-1"])
def test_a_page_that_has_not_seen_the_present_number_is_refused(
    seen: str, client: Client, base: str
) -> None:
    page = client.post(f"{base}house-rules/start_lead/", {"seen": seen, "start_lead": "15"})
    assert "were made after you opened this page" in page.content.decode()
    assert not RuleSet.objects.exists()


def test_a_rule_in_words_is_chosen_from_its_list(client: Client, base: str) -> None:
    url = f"{base}house-rules/white_rule/"
    assert (
        "not on the list" in client.post(url, {"seen": "0", "white_rule": "guess"}).content.decode()
    )
    assert client.post(url, {"seen": "0", "white_rule": "half"}).status_code == 302
    assert RuleSet.objects.get().rules == {"white_rule": "half"}


@pytest.mark.parametrize("group", ["legal_limit", "tea"])
def test_a_group_that_nobody_may_change_has_no_page(group: str, client: Client, base: str) -> None:
    assert client.get(f"{base}house-rules/{group}/").status_code == 404


def test_every_group_that_may_be_changed_has_a_page(client: Client, base: str) -> None:
    for group in groups({}):
        if group.changeable:
            assert client.get(f"{base}house-rules/{group.key}/").status_code == 200, group.key
