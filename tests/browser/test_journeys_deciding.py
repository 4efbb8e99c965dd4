"""Journeys 13 to 15 of the trade page: a sign-off, a verifier's own decision, a sample."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from tests.browser.chairside import in_a_fortnight
from tests.site.factories import PASSWORD

if TYPE_CHECKING:
    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "deciding"
HOME = f"/{SLUG}/"
PART = "you had a part in it"
ADDED = "added: another of this assessor's was overturned"


@pytest.fixture(scope="module")
def people(site: Site) -> dict[str, str]:
    who: dict[str, str] = site.behind("academy", slug=SLUG, days_ago=14)["people"]
    return who


def test_journey_13_a_sign_off_waits_for_two_boxes_that_are_filled_as_a_correction(
    site: Site, people: dict[str, str], arrive: Callable[..., Visitor]
) -> None:
    site.behind("thin_feedback", slug=SLUG)
    assessor = arrive(people["assessor"], "tablet")
    page = assessor.page
    assessor.follow("Sign off", exact=True)
    assessor.look()
    assessor.follow("See what is open for Tamsin Orle, The white module")
    assessor.reads("2 of 4; empty: Why, Next")
    assert page.get_by_role("button", name="Sign off").is_disabled()
    assessor.look()
    assessor.follow("Fill")
    page.get_by_label("Level").select_option("4")
    page.get_by_label("What the hands did").fill("The bowl stood within reach.")
    page.get_by_label("By which day").fill(in_a_fortnight())
    page.get_by_label("Why you correct it").fill("The cause was missing.")
    assessor.look()
    assessor.press("Correct the feedback")
    assessor.reads("Corrected. The earlier words stay readable.")
    assessor.follow("Sign off", exact=True)
    assessor.follow("Sign off Tamsin Orle, The white module")
    assessor.reads("Everything needed is there")
    for statement in ("Valid", "Sufficient", "Authentic", "Current"):
        page.get_by_label(re.compile(f"^{statement}:")).check()
    page.get_by_label("Your password again").fill("not-that-one")
    assessor.press("Sign as Dilys Okafor-Reed")
    assessor.look()
    page.get_by_label("Your password again").fill(PASSWORD)
    assessor.press("Sign as Dilys Okafor-Reed")
    assessor.reads("Signed.")
    assessor.look()
    acknowledge(arrive(people["apprentice"], "phone"), page.url)


def acknowledge(apprentice: Visitor, signed: str) -> None:
    """Each result sheet is read, and nothing is asked for the sign-off."""
    apprentice.look()
    for left in (2, 1):
        apprentice.go(HOME)
        assert apprentice.page.get_by_text("A result to read").count() == left
        apprentice.follow("Read result")
        apprentice.press("I have read this")
    apprentice.go(HOME)
    assert apprentice.page.get_by_text("A result to read").count() == 0
    apprentice.go(signed)
    apprentice.reads("Tamsin Orle is competent")
    assert apprentice.page.get_by_role("button", name="I have read this").count() == 0
    apprentice.look()


def test_journey_14_a_verifiers_own_decision_is_greyed_refused_and_given_to_another(
    site: Site, people: dict[str, str], arrive: Callable[..., Visitor]
) -> None:
    at = site.behind("own_decision", slug=SLUG)
    verifier = arrive(people["verifier"], "desktop")
    evidence = f"{HOME}assessment/decisions/{at['sign_off']}/"
    verifier.follow("Decisions")
    assert_greyed(verifier, f"{PART}; a manager names another verifier")
    verifier.look()
    verifier.follow("Samples")
    verifier.follow("Strand checks")
    assert_greyed(verifier, f"{PART}; a manager names another verifier")
    verifier.go(evidence)
    assert verifier.trouble.pop(0).startswith("403 from ")
    verifier.trouble.clear()  # the console says the same
    verifier.reads("You had a part in this decision")
    verifier.look()
    name_another(arrive(people["manager"], "desktop"))
    verifier.go(f"{HOME}assessment/decisions/")
    assert_greyed(verifier, f"{PART}; Pia Harrow verifies it")
    other = arrive(at["other"], "desktop")
    other.follow("Open evidence of Wren Adeyemi")
    other.page.get_by_label("upheld").check()
    other.press("Record as Pia Harrow")
    other.reads("Recorded: upheld.")


def assert_greyed(verifier: Visitor, why: str) -> None:
    row = verifier.page.locator(".rows li", has_text="Wren Adeyemi")
    assert why in row.inner_text()
    assert row.get_by_role("link", name="Open evidence").count() == 0


def name_another(manager: Visitor) -> None:
    manager.follow("Decisions")
    manager.follow("Name a verifier for Wren Adeyemi, The strand module")
    choice = manager.page.get_by_label("Verifier")
    assert choice.locator("option").all_inner_texts()[1:] == ["Pia Harrow"]
    choice.select_option(label="Pia Harrow")
    manager.page.get_by_label("Why").fill("Ines marked the first head.")
    manager.look()
    manager.press("Name the verifier")
    manager.reads("Named. Pia Harrow verifies this sign-off.")
    manager.look()


def test_journey_15_of_60_decisions_23_are_drawn_and_one_overturned_adds_the_rest(
    site: Site, arrive: Callable[..., Visitor]
) -> None:
    told = site.behind("academy", slug="sixty")
    site.behind("sixty", slug="sixty")
    verifier = arrive(told["people"]["verifier"], "desktop")
    draw(verifier)
    counts = [line.split(": ") for line in promised(verifier)]
    assert counts[0] == ["23", "drawn at random"]
    assert {why for _, why in counts[1:]} <= {"added so that everybody appears"}
    all_of_them = sum(int(count) for count, _ in counts)
    assert verifier.heading == f"This quarter: 0 of {all_of_them} looked at"
    verifier.reads("If 23 of 60 drawn at random are all right, one can be 95 % sure")
    verifier.look()
    drawn = table(verifier)
    for column in ("module", "signed by"):
        assert len({row[column] for row in drawn}) == 2
    wrong = drawn[0]
    rest = [
        row
        for row in table(verifier, drawn=False)
        if row["signed by"] == wrong["signed by"] and not row["why looked at"]
    ]
    overturn(verifier, wrong, len(rest))
    verifier.follow("Samples")
    verifier.follow("This quarter")
    assert verifier.heading == f"This quarter: 1 of {all_of_them + len(rest)} looked at"
    assert f"{len(rest)}: {ADDED}" in promised(verifier)
    named = {row["apprentice"]: row["why looked at"] for row in table(verifier)}
    assert {named[row["apprentice"]] for row in rest} == {ADDED}
    verifier.look()


def draw(verifier: Visitor) -> None:
    verifier.follow("Decisions")
    verifier.follow("Samples")
    verifier.look()
    verifier.follow("Draw a sample")
    page = verifier.page
    today = datetime.now(ZoneInfo("Europe/London")).date()
    page.get_by_label("Name").fill("This quarter")
    page.get_by_label("Signed from").fill((today - timedelta(days=90)).isoformat())
    page.get_by_label("Signed until").fill(today.isoformat())
    page.get_by_label("How sure in %").fill("95")
    page.get_by_label("That fewer are wrong than, in %").fill("10")
    verifier.look()
    verifier.press("Draw the sample")
    verifier.reads("Drawn. The batch and its seed stand.")


def promised(verifier: Visitor) -> list[str]:
    """Under the promise: how many are looked at for each reason."""
    promise = verifier.page.locator("section", has_text="For the part drawn at random.")
    return promise.locator("li").all_inner_texts()


def table(verifier: Visitor, *, drawn: bool = True) -> list[dict[str, str]]:
    """The batch as the verifier saves it for a spreadsheet; only what is looked at."""
    with verifier.page.expect_download() as saved:
        verifier.follow("As a table (CSV)")
    text = saved.value.path().read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert len(rows) == 60
    return [row for row in rows if row["why looked at"]] if drawn else rows


def overturn(verifier: Visitor, wrong: dict[str, str], rest: int) -> None:
    """What follows is named, and then confirmed."""
    verifier.follow(f"Open evidence of {wrong['apprentice']}, {wrong['module']}")
    page = verifier.page
    page.get_by_label("Overturned: it cannot stand").check()
    page.get_by_label("What is to be done, or why it cannot stand").fill("Another's head.")
    verifier.press("Record as Ines Carradine")
    signed_by = wrong["signed by"]
    verifier.reads(f"{rest} further decisions of {signed_by} in “This quarter” must be looked at.")
    verifier.look()
    verifier.press("Overturn it as Ines Carradine")
    verifier.reads("Recorded: overturned.")
