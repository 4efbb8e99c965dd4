"""The planner: a pattern on a head, followed at each change, compared, saved, printed."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from academy.audit.models import Entry
from academy.craft.head.drawn import Direction, DrawnSection
from academy.craft.head.foils import foil_range, plan
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.shape import Head
from academy.curriculum.content.sheets import drawn_section
from academy.curriculum.drawings import sheets_for
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.services import enter_label, make_rule_set

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

PAGE = "/larkmere/modules/planner/"
CORNERS = "20 60\n-20 60\n-60 75\n60 75"
OWN = {"pattern": "custom", "corners": CORNERS, "direction": "ear_to_ear"}
HTMX = {"HX-Request": "true"}


@pytest.fixture
def browser(signed_in: Callable[[Person], Client], apprentice: Person) -> Client:
    return signed_in(apprentice)


@pytest.fixture
def read(browser: Client) -> Callable[..., str]:
    """`read(pattern=…)`: the page as an apprentice sees it, tags taken out."""

    def get(**typed: str) -> str:
        return words(browser.get(PAGE, typed).text)

    return get


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).replace("\N{NO-BREAK SPACE}", " ").split())


def test_a_half_head_stands_there_at_first_with_its_figures(read: Callable[..., str]) -> None:
    page = read()
    settings = FoilSettings()
    low, high = foil_range("half_head", settings)
    assert f"Foils drawn {len(plan('half_head', settings).foils)}" in page
    assert f"Foils to expect {low} to {high}" in page
    assert "Powder for one foil" in page


def test_figures_follow_what_is_typed(read: Callable[..., str]) -> None:
    settings = FoilSettings(depth_mm=3, left_mm=9, stitch_mm=2, gap_mm=3, foil_mm=80)
    laid = plan("full_head", settings, head=Head.of_tape(570))
    sizes = {"depth": "3", "left": "9 mm", "stitch": "2", "gap": "3,0", "foil": "80"}
    page = read(pattern="full_head", head="tape", tape="570", **sizes)
    assert f"Foils drawn {len(laid.foils)}" in page
    assert f"Stitches {laid.stitches}" in page
    assert "Woven share of a section 40 %" in page


def test_each_foil_is_a_line_with_its_hairs_and_when_it_is_closed(browser: Client) -> None:
    made = browser.get(PAGE, {"pattern": "diamond"}).context["shown"]
    (table,) = [table for table in made.head.tables if table.kind == "foil"]
    assert [str(column.title) for column in table.columns] == [
        "Foil", "Section", "Zone", "Length", "Stitches", "Hairs", "Of all hair", "Closed at",
    ]  # fmt: skip
    assert [int(row.key) for row in table.rows] == [foil.number for foil in made.plan.foils]
    for row, line in zip(table.rows, made.rows, strict=True):
        assert row.cells[1] == line.zone
        assert row.cells[-3:] == [str(line.hairs), f"{line.share}\N{NO-BREAK SPACE}%", line.closed]
    assert table.note == made.hairs_words


def test_slices_have_no_stitches_and_quarters_no_foils(read: Callable[..., str]) -> None:
    assert "Stitches" not in read(pattern="diamond", gap="0")
    lines = read(pattern="quarters")
    assert "Foils drawn" not in lines
    assert "The clock" not in lines


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"head": "tape", "tape": "300"}, "300 mm"),
        ({"head": "tape"}, "Give the tape round the head"),
        ({"head": "lengths", "length": "150", "breadth": "185"}, "150 mm"),
        ({"depth": "0"}, "The least that is taken here is 3 mm"),
        ({"left": "-4"}, "The least that is taken here is 0 mm"),
        ({"stitch": "20"}, "The most that is taken here is 15 mm"),
        ({"depth": "six"}, "This is not a figure"),
        ({"pace": "0"}, "pace above zero"),
        ({"ceiling": "55"}, "is above the ceiling"),
        ({"check": "50", "ceiling": "40"}, "Shorten it, or read the label again"),
        ({"pattern": "custom", "corners": "10 60"}, "three corners"),
        ({"pattern": "custom", "corners": "ten sixty"}, "is no place"),
        ({**OWN, "corners": "20 60\n-20 75\n-20 60\n20 75"}, "cross"),
        ({**OWN, "corners": "0 0\n10 0\n5 -8"}, "no hair"),
        ({**OWN, "shape": "band", "band": ""}, "Give the width of the band"),
    ],
)
def test_what_cannot_be_is_said_and_the_last_plan_stands(
    browser: Client, typed: dict[str, str], sentence: str
) -> None:
    page = browser.get(PAGE, {**typed, "last": "pattern=diamond"}).text
    assert sentence in words(page)
    assert "Until then the last plan stands." in words(page)
    count = len(plan("diamond", FoilSettings()).foils)
    assert f"Foils drawn {count}" in words(page)
    for name, text in typed.items():
        if text and name in {"depth", "left", "stitch", "tape", "corners"}:
            assert text.splitlines()[0] in page


def test_a_change_is_answered_with_the_sheet_and_a_mistake_with_its_sentence_alone(
    browser: Client,
) -> None:
    good = browser.get(PAGE, {"pattern": "diamond"}, headers=HTMX)
    assert 'id="planned"' in good.text
    assert "<form" not in good.text.split('id="planned"')[0]
    assert good["HX-Replace-Url"].endswith("?pattern=diamond")
    bad = browser.get(PAGE, {"pattern": "diamond", "depth": "40"}, headers=HTMX)
    assert 'id="planned"' not in bad.text
    assert "The most that is taken here is 12 mm" in bad.text


def test_the_house_rules_give_the_first_figures_and_say_so(
    academy: Academy, educator: Person, read: Callable[..., str]
) -> None:
    make_rule_set(academy=academy, by=educator, changes={"left_between": Decimal(9)}, note="Wider.")
    page = read(pattern="full_head")
    laid = plan("full_head", FoilSettings(left_mm=9))
    assert f"Foils drawn {len(laid.foils)}" in page


def test_a_label_lowers_the_ceiling(academy: Academy, read: Callable[..., str]) -> None:
    fields = {"kind": "lightener_foils", "ceiling": Decimal(40)}
    row = enter_label(academy=academy, by=None, name="Training powder", fields=fields)
    page = read(label=row.token, ceiling="45")
    assert "is above the ceiling" in page
    assert "40 min" in page


@pytest.mark.parametrize(
    ("colour", "develop", "ceiling"),
    [
        ("permanent", "35", "45"),
        ("permanent_white_normal", "35", "45"),
        ("permanent_white_resistant", "40", "50"),
    ],
)
def test_the_roots_have_the_times_and_the_ceiling_of_their_kind_of_colour(
    colour: str, develop: str, ceiling: str, browser: Client
) -> None:
    typed = {"pattern": "diamond", "roots": "yes", "colour": colour}
    page = browser.get(PAGE, typed).text
    assert re.search(rf'name="develop" value="{develop}"', page)
    assert re.search(rf'name="root_ceiling" value="{ceiling}"', page)
    over = {**typed, "root_ceiling": str(int(ceiling) + 1)}
    assert f"is above the ceiling: {ceiling} min" in words(browser.get(PAGE, over).text)


def test_a_house_rule_for_another_kind_of_colour_leaves_the_roots_alone(
    academy: Academy, educator: Person, read: Callable[..., str]
) -> None:
    changes = {"development.permanent.ceiling": Decimal(60)}
    make_rule_set(academy=academy, by=educator, changes=changes)
    typed = {"pattern": "diamond", "roots": "yes", "root_ceiling": "55"}
    assert "is above the ceiling" in read(**typed, colour="permanent_white_normal")
    assert "is above the ceiling" not in read(**typed, colour="permanent")


def test_the_address_of_a_plan_keeps_the_kind_of_root_colour(browser: Client) -> None:
    typed = {"pattern": "diamond", "roots": "yes", "colour": "permanent_white_resistant"}
    page = browser.get(PAGE, {**typed, "develop": "35", "root_ceiling": "50"}).text
    query = "pattern=diamond&amp;roots=yes&amp;colour=permanent_white_resistant&amp;develop=35"
    assert f'name="last" value="{query}"' in page


def test_a_label_that_counts_from_the_start_brings_the_roots_forward(
    academy: Academy, read: Callable[..., str]
) -> None:
    fields = {"kind": "permanent", "counts_from_start": True}
    row = enter_label(academy=academy, by=None, name="Training cream", fields=fields)
    typed = {"pattern": "diamond", "roots": "yes", "starts": "10:00", "application": "20"}
    assert "10:55 Wipe and look at the roots" in read(**typed)
    page = read(**typed, label=row.token)
    assert "10:35 Wipe and look at the roots" in page
    assert "the strand coloured first reaches the ceiling first" in page
    fields = {"kind": "lightener_foils", "counts_from_start": True}
    other = enter_label(academy=academy, by=None, name="Training powder", fields=fields)
    assert "10:55 Wipe and look at the roots" in read(**typed, label=other.token)


def test_own_patterns_are_drawn_by_taps_zones_buttons_and_typing(browser: Client) -> None:
    first = browser.get(PAGE, {"pattern": "custom", "do": "tap top 0 30"}, headers=HTMX)
    assert "0 " in corners_in(first.text)
    beside = browser.get(PAGE, {"pattern": "custom", "do": "tap left 90 -60"}, headers=HTMX)
    assert "That was beside the hair" in beside.text
    assert corners_in(beside.text) == ""
    put = {"pattern": "custom", "do": "zone", "corner_zone": "crown"}
    assert len(corners_in(browser.get(PAGE, put, headers=HTMX).text).split()) == 2
    moved = browser.get(PAGE, {**OWN, "do": "up 1"}, headers=HTMX)
    assert corners_in(moved.text).splitlines()[1:] == CORNERS.splitlines()[1:]
    assert corners_in(moved.text).splitlines()[0] != CORNERS.splitlines()[0]
    out = browser.get(PAGE, {**OWN, "do": "out 2"}, headers=HTMX)
    assert corners_in(out.text).splitlines() == ["20 60", "-60 75", "60 75"]
    earlier = browser.get(PAGE, {**OWN, "do": "earlier 2"}, headers=HTMX)
    assert corners_in(earlier.text).splitlines()[:2] == ["-20 60", "20 60"]


def corners_in(page: str) -> str:
    found = re.search(r'<textarea name="corners"[^>]*>\n?([^<]*)</textarea>', page)
    assert found is not None
    return found[1].strip()


def test_a_deed_without_script_leads_to_an_address_that_does_not_repeat_it(
    browser: Client,
) -> None:
    answer = browser.get(PAGE, {**OWN, "do": "out 4"})
    assert answer.status_code == 302
    assert "do=" not in answer["Location"]
    assert browser.get(answer["Location"]).status_code == 200


def test_two_plans_stand_beside_each_other_with_their_figures(read: Callable[..., str]) -> None:
    page = read(pattern="diamond", beside="pattern=half_head&left=8")
    here = len(plan("diamond", FoilSettings()).foils)
    there = len(plan("half_head", FoilSettings(left_mm=8)).foils)
    assert f"Foils drawn {here} {there}" in page
    assert "Change that one instead" in page


def test_the_house_rules_are_read_once_for_all_plans_of_a_page(browser: Client) -> None:
    query = {"pattern": "diamond", "depth": "99", "last": "pattern=diamond", "beside": "left=8"}
    with CaptureQueriesContext(connection) as asked:
        page = browser.get(PAGE, query).text
    assert "Change that one instead" in page
    read = [one["sql"] for one in asked if 'FROM "curriculum_ruleset"' in one["sql"]]
    assert len(read) == 1


def test_a_plan_is_saved_as_a_sheet_of_a_draft_that_is_begun(
    signed_in: Callable[[Person], Client], educator: Person, module: Module
) -> None:
    query = "pattern=half_head&depth=5&gap=0&left=7"
    answer = signed_in(educator).post(f"{PAGE}save/", {"plan": query, "module": module.token})
    draft = module.versions.get(state=ModuleVersion.State.DRAFT)
    assert draft.token in answer["Location"]
    sheet = draft.sheets.last()
    assert sheet is not None
    assert sheet.pattern == "half_head"
    assert [sheet.depth_mm, sheet.left_mm, sheet.stitch_mm] == [Decimal(5), Decimal(7), None]
    assert draft.sheets.count() == 2
    assert Entry.objects.filter(action="curriculum.draft.started").count() == 1


@pytest.mark.parametrize("pattern", ["t_section", "quarters"])
def test_a_saved_sheet_tells_the_figures_of_the_plan_it_was(
    pattern: str, signed_in: Callable[[Person], Client], educator: Person, draft: ModuleVersion
) -> None:
    client = signed_in(educator)
    client.post(f"{PAGE}save/", {"plan": f"pattern={pattern}", "module": draft.module.token})
    told = client.get(PAGE, {"pattern": pattern}).context["shown"].figures
    sheet = sheets_for(draft)[-1]
    assert len(sheet.figures) >= 3
    assert {str(row.label): row for row in sheet.figures}.items() <= {
        str(row.label): row for row in told
    }.items()


def test_an_own_pattern_is_saved_drawn_published_and_told_apart(
    signed_in: Callable[[Person], Client], educator: Person, draft: ModuleVersion
) -> None:
    client = signed_in(educator)
    query = "pattern=custom&corners=20+60%0A-20+60%0A-60+75%0A60+75&direction=ear_to_ear&begin=low"
    client.post(f"{PAGE}save/", {"plan": query, "module": draft.module.token})
    sheet = draft.sheets.last()
    assert sheet is not None
    corners = ((20.0, 60.0), (-20.0, 60.0), (-60.0, 75.0), (60.0, 75.0))
    assert drawn_section(sheet.drawn) == DrawnSection(corners, direction=Direction.EAR_TO_EAR)
    preview = client.get(f"/larkmere/modules/draft/{draft.token}/preview/?sheet=2").text
    assert "This sheet cannot be drawn yet" not in preview
    edited = client.get(f"/larkmere/modules/draft/{draft.token}/sheets/").text
    assert "ear_to_ear" in edited


def test_a_plan_goes_into_no_module_without_one_and_for_nobody_but_educators(
    signed_in: Callable[[Person], Client], educator: Person, apprentice: Person, module: Module
) -> None:
    answer = signed_in(educator).post(f"{PAGE}save/", {"plan": "pattern=diamond"}, follow=True)
    assert "Choose the module" in words(answer.text)
    sent = {"plan": "pattern=diamond", "module": module.token}
    assert signed_in(apprentice).post(f"{PAGE}save/", sent).status_code == 403
    assert not module.versions.filter(state=ModuleVersion.State.DRAFT).exists()


def test_the_paper_has_five_views_and_a_line_with_room_for_each_foil(browser: Client) -> None:
    laid = plan("half_head", FoilSettings())
    page = browser.get(f"{PAGE}print/", {"pattern": "half_head"}).text
    assert page.count('<svg xmlns="http://www.w3.org/2000/svg" class="hd') == 5
    rows = re.findall(r'<th scope="row">(\d+)</th>', page)
    assert rows == [str(n) for n in range(1, len(laid.foils) + 1)]
    assert page.count('class="blank"') == 2 * len(laid.foils)


def test_a_plan_that_cannot_be_is_not_printed_but_said(browser: Client) -> None:
    answer = browser.get(f"{PAGE}print/", {"depth": "99"})
    assert answer.status_code == 302
    assert answer["Location"] == f"{PAGE}?depth=99"
