"""Journeys 10 to 12 of the trade page: a weak zone, near the line, two marks that disagree."""

from __future__ import annotations

import io
import json
import zipfile
from base64 import b64decode
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.chairside import all_up, level, missing, rate, write_boxes

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "judging"
HOME = f"/{SLUG}/"
FIRST = "Quillon Vasterby"
# What the first assessor leaves on the head that lies near the line.
WORDS = {
    "name": FIRST,
    "note": "marmalade on the comb",
    "fault": "tangerine by the ear",
    "seen": "apricot at the seam",
    "why": "quince under the thumb",
    "next": "medlar panels until noon",
    "head mark": "66.1",
    "minutes": "37 min",
}


@pytest.fixture(scope="module")
def people(site: Site) -> dict[str, str]:
    who: dict[str, str] = site.behind("academy", slug=SLUG, days_ago=14)["people"]
    return who


def test_journey_10_a_weak_zone_is_not_yet_whatever_the_head_mark(
    site: Site, people: dict[str, str], arrive: Callable[..., Visitor]
) -> None:
    at = site.behind("weak_before", slug=SLUG)
    assessor = arrive(at["assessor"], "tablet")
    page = assessor.page
    assessor.follow("Assess somebody without a booking")
    page.get_by_label("Apprentice").select_option(label="Callum Breck")
    page.get_by_label("Module").select_option(label="White-hair coverage")
    assessor.press("Begin head")
    assert assessor.heading == "May be assessed again"
    assessor.reads("the whole module")
    assessor.look()
    assessor.press("Begin this head")
    for place in ("V1-crown", "V3-crown", "V1-nape", "V3-nape", "V2-", "V4-"):
        level(page, place, 1 if place == "V1-nape" else 3)
    rate(page, 3)
    all_up(page)
    assert missing(page).startswith("Nothing is missing")
    page.locator("#to-feedback").tap()
    page.wait_for_url("**/feedback/")
    # Nothing in the boxes: asked once, then refused.
    assessor.press("Submit the head")
    assessor.reads("Only 0 of 4 boxes are filled")
    assessor.look()
    assessor.press("Submit it so")
    assessor.reads("A “not yet” needs feedback")
    assessor.look()
    write_boxes(page, zone="nape", criterion="V1", level=1)
    assessor.press("Submit the head")
    assessor.reads("Submitted. The sheet stands as it is now.")
    apprentice = arrive(at["apprentice"], "phone")
    apprentice.follow("Results")
    apprentice.follow("White-hair coverage")
    for visitor in (assessor, apprentice):
        assert visitor.heading == "Not yet"
        visitor.reads("Coverage is at 1 in the nape zone")
        visitor.look()


def test_journey_11_near_the_line_is_marked_again_by_somebody_who_sees_nothing(
    site: Site, people: dict[str, str], arrive: Callable[..., Visitor], tmp_path: Path
) -> None:
    at = site.behind("near_the_line", slug=SLUG)
    first = arrive(at["first"], "tablet", record=tmp_path / "first.har")
    sheet = mark_near_the_line(first)
    give(arrive(people["educator"], "desktop"))
    second = arrive(at["second"], "tablet", record=tmp_path / "second.har")
    begin_blind(second)
    tokens = site.behind("tokens", slug=SLUG, key="line", email=at["apprentice"])
    fetched = look_everywhere(second, sheet, tokens)
    apprentice = arrive(at["apprentice"], "phone")
    apprentice.follow("Results")
    apprentice.follow("The line module")
    apprentice.reads("Another assessor looks at the same head.")
    assert "Yusra Lindqvist" not in apprentice.page.content()
    for words in ("Levels given", WORDS["head mark"]):
        assert words not in apprentice.page.content()
    for visitor in (first, second):
        visitor.context.close()
    sent = received(tmp_path / "first.har")
    assert [what for what, words in WORDS.items() if words not in sent] == []
    sent = received(tmp_path / "second.har") + fetched
    assert "Nadia Sorrell" in sent
    assert "?only=second" in sent
    assert [what for what, words in WORDS.items() if words in sent] == []


def mark_near_the_line(first: Visitor) -> str:
    """Evenness at 2, all else at 3: 66 with the line at 65. Gives the address of the sheet."""
    page = first.page
    first.follow("Assess somebody without a booking")
    page.get_by_label("Apprentice").select_option(label="Nadia Sorrell")
    page.get_by_label("Module").select_option(label="The line module")
    first.press("Begin head")
    for zone in ("crown", "nape"):
        level(page, f"A2-{zone}", 3)
        level(page, f"A3-{zone}", 2)
    level(page, "A1-", 3)
    rate(page, 3)
    page.locator("#notes [name=note]").fill(WORDS["note"])
    page.locator("#notes [name=minutes_used]").fill("37")
    page.locator("#notes [name=minutes_used]").blur()
    page.locator("#mark").tap()
    page.locator("#id_fault_fault").select_option("gap")
    page.locator("#id_fault_note").fill(WORDS["fault"])
    page.locator("#id_fault_zone").select_option("crown")
    page.get_by_role("button", name="Mark in the middle of the zone").tap()
    page.locator("#in-hand-said", has_text="marked.").wait_for()
    page.locator("#leave").tap()
    all_up(page)
    page.locator("#to-feedback").tap()
    page.wait_for_url("**/feedback/")
    words = {"seen": WORDS["seen"], "why": WORDS["why"], "after": WORDS["next"]}
    write_boxes(page, zone="crown", criterion="A3", level=2, **words)
    first.press("Submit the head")
    first.reads("Submitted. The sheet stands as it is now.")
    assert first.heading == "Needs a second assessor"
    first.look()
    return page.url.split("?")[0]


def give(educator: Visitor) -> None:
    educator.follow("Assessments")
    educator.follow("Second marks")
    educator.look()
    educator.follow("Give to an assessor Nadia Sorrell")
    page = educator.page
    assert FIRST not in page.get_by_label("Assessor").inner_text()
    page.get_by_label("Assessor").select_option(label="Yusra Lindqvist")
    educator.look()
    educator.press("Give the second mark")
    educator.reads("Given to Yusra Lindqvist. It stands on their first page.")


def begin_blind(second: Visitor) -> None:
    """From the first page, where it waits; nothing is marked yet."""
    assert second.heading == "One second mark to give"
    second.reads("Blind: nothing of the first mark shows until you have submitted.")
    second.look()
    second.press("Begin Nadia Sorrell")
    page = second.page
    assert missing(page).startswith("Still missing: 6")
    assert page.locator("#desk input:checked").count() == 0
    assert page.locator(".fault-row").count() == 0
    assert page.locator("#notes [name=note]").input_value() == ""
    second.look()


def look_everywhere(second: Visitor, sheet: str, tokens: dict[str, str]) -> str:
    """Searches, pages and addresses that may tell something of the first mark.

    Gives what came from exports and closed doors, which no page shows.
    """
    page, lists = second.page, f"{HOME}assessment/"
    for path in ("", "seconds/", "pairs/", "signed/"):
        second.go(f"{lists}{path}")
        page.get_by_role("searchbox").fill("Nadia")
        second.press("Show")
    second.go(f"{lists}?only=second")
    second.reads("No head fits")
    second.go(f"{HOME}practice/")
    person, of_module = tokens["person"], f"{tokens['person']}/{tokens['module']}"
    for path in (f"progress/{person}/", f"progress/{of_module}/", f"assessment/next/{of_module}/"):
        second.go(f"{HOME}{path}")
    answers = []
    for path in ("practice/export.csv", "exercises/statistics.csv", "exercises/statistics.xlsx"):
        answers.append(second.context.request.get(f"{second.home}{HOME}{path}"))
        assert answers[-1].ok
    head = sheet.rstrip("/").rpartition("/")[2]
    closed = [sheet, f"{sheet}explained/", f"{sheet}print/", f"{sheet}correct/"]
    closed += [f"{second.home}{lists}{path}/{head}/" for path in ("head", "pairs")]
    closed += [f"{second.home}{HOME}evidence/assessment/{head}/{file}" for file in ("", "pack.zip")]
    for address in closed:
        answers.append(second.context.request.get(address))
        assert answers[-1].status in {403, 404}, address
    return "\n".join(str(answer.headers) + readable(answer.body()) for answer in answers)


def received(har: Path) -> str:
    """All that a page or script was sent: addresses, headers and bodies."""
    found = []
    for entry in json.loads(har.read_text(encoding="utf-8"))["log"]["entries"]:
        answer: dict[str, Any] = entry["response"]
        found += [entry["request"]["url"], json.dumps(answer["headers"])]
        content = answer["content"]
        text = content.get("text", "")
        coded = content.get("encoding") == "base64"
        found.append(readable(b64decode(text) if coded else text.encode()))
    return "\n".join(found)


def readable(body: bytes) -> str:
    """A body as text; of a workbook, each of its files."""
    if not body.startswith(b"PK"):
        return body.decode("utf-8", "replace")
    with zipfile.ZipFile(io.BytesIO(body)) as book:
        return "\n".join(book.read(name).decode("utf-8", "replace") for name in book.namelist())


def test_journey_12_marks_that_disagree_are_compared_and_one_more_head_is_ruled(
    site: Site, people: dict[str, str], arrive: Callable[..., Visitor]
) -> None:
    at = site.behind("disagreement", slug=SLUG)
    why = "The photo of the nape shows bare root."
    verifier = arrive(people["verifier"], "desktop")
    verifier.look()
    verifier.follow("Compare of Priyanka Moss")
    page = verifier.page
    assert_both_marks(page)
    verifier.look()
    verifier.follow("Rule on this head")
    page.get_by_label("one more head").check()
    verifier.press("Rule as Ines Carradine")
    verifier.reads("One line needs you before this can be ruled")
    verifier.look()
    page.get_by_label("Why").fill(why)
    verifier.press("Rule as Ines Carradine")
    assert verifier.heading == "One more head"
    verifier.reads(why)
    verifier.look()
    verifier.follow("Both marks side by side")
    assert_both_marks(page)
    apprentice = arrive(at["apprentice"], "phone")
    apprentice.follow("Results")
    apprentice.follow("The lightener module")
    assert apprentice.heading == "One more head"
    apprentice.reads(why)
    for words in ("Joren Pask", "Ines Carradine", "Levels given"):
        assert words not in apprentice.page.content()
    apprentice.look()


def assert_both_marks(page: Page) -> None:
    """Names, head marks and every level of both, side by side."""
    cells = page.locator(".tb-cells").inner_text()
    for words in ("Dilys Okafor-Reed", "75.0", "Joren Pask", "50.0"):
        assert words in cells
    rows = page.get_by_role("region", name="Levels of both").locator("tbody tr")
    assert [row.split("\t")[1:] for row in rows.all_inner_texts()] == [
        ["whole head", "3", "2", "1 level apart"],
        ["crown", "3", "2", "1 level apart"],
        ["nape", "3", "2", "1 level apart"],
    ]
