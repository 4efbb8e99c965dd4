"""Marks on the head at the chair: by a gloved finger, by keyboard alone, without script or signal.

The head of the module "slices" has its occipital judged; the first mark lies in its middle.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from academy.craft.head.figures import head_figures, view_axes
from academy.craft.head.sheet import SHEET_HEAD, VIEWS, locate, place, view_of, zone_centre
from academy.craft.head.zones import Zone
from tests.browser.visitor import SIDEWAYS

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "marks"
MIDDLE = zone_centre(Zone.OCCIPITAL)
MIDDLE_UP = place("back", MIDDLE.azimuth_deg, MIDDLE.elevation_deg)[1]
GLOVE_PX, FINGER_PX = 56, 44
# Where a point of the big head's paper lies on the screen.
ON_SCREEN = """([u, v]) => {
  const svg = document.querySelector("#head-box svg");
  const at = new DOMPoint(u, -v).matrixTransform(svg.getScreenCTM());
  return [at.x, at.y];
}"""
UNDER = """async ([figures, axes, points]) => {
  const { axesOf, headOf } = await import("/static/js/head_geometry.js");
  const [head, view] = [headOf(figures), axesOf(axes)];
  return points.map(([u, v]) => head.under(view, u, v));
}"""
# What can be pressed and is smaller than a finger; a radio or a tick is pressed by its label.
SMALL = """(least) => [...document.querySelectorAll(
  "#main :is(a[href], button, input:not([type=hidden]), select, textarea, summary)"
)].map((one) =>
  one.matches("[type=radio], [type=checkbox]") ? one.labels[0] : one
).filter((one) => {
  const { width, height } = one.getBoundingClientRect();
  const shown = one.checkVisibility() && width > 1;
  return shown && (width < 44 || height < least);
}).map((one) => `${one.tagName} ${one.id} ${one.textContent.trim().slice(0, 30)} `
  + `${Math.round(one.getBoundingClientRect().width)} x `
  + `${Math.round(one.getBoundingClientRect().height)}`)"""


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    site.behind("passed", slug=SLUG, key="quarters")
    return words | {"head": site.behind("head", slug=SLUG, key="slices")["token"]}


# All that was touched has gone up, and the head is as the site draws it.
UP = """() => !Object.keys(localStorage).some((name) => name.startsWith("blockwork-touches"))
  && !document.querySelector("#head .drawn-here, #desk[aria-busy]")"""


@pytest.fixture
def sit(
    come: Callable[..., Visitor], told: dict[str, Any], site: Site, pages: list[Page]
) -> Callable[..., Visitor]:
    """`sit("tablet")`: the assessor at the head, on which there is one mark as on the first day."""

    def one(device: str, query: str = "view=back", **how: object) -> Visitor:
        site.behind("one_mark", slug=SLUG, head=told["head"])
        visitor = come(device, **how)
        visitor.sign_in(told["people"]["assessor"], told["password"])
        visitor.go(f"/{SLUG}/assessment/head/{told['head']}/?{query}")
        if how.get("script", True):
            pages.append(visitor.page)
        return visitor

    return one


@pytest.fixture
def pages() -> list[Page]:
    """The pages that work with a script."""
    return []


@pytest.fixture
def marks(
    told: dict[str, Any], site: Site, pages: list[Page]
) -> Callable[..., list[dict[str, Any]]]:
    """What the site has of the marks, by number, once all has gone up."""

    def kept(*, waiting: bool = False) -> list[dict[str, Any]]:
        for page in [] if waiting else pages:
            page.wait_for_function(UP)
        rows: list[dict[str, Any]] = site.behind("marks", head=told["head"])
        return rows

    return kept


def tap(page: Page, u: float, v: float) -> None:
    """A finger on the big head, at a place on its paper in mm."""
    page.locator("#head-box").scroll_into_view_if_needed()
    page.touchscreen.tap(*page.evaluate(ON_SCREEN, [u, v]))


def said(page: Page, words: str) -> None:
    """Under the head, and to whoever listens."""
    page.locator("#in-hand-said", has_text=words).wait_for()
    page.locator("#say", has_text=words).wait_for(state="attached")


def target(page: Page, svg: str = "#head-box svg") -> tuple[float, float] | None:
    """Where the target stands on the paper of a view; None where it is not seen."""
    group = page.locator(f"{svg} .hd-target")
    if group.get_attribute("visibility") == "hidden":
        return None
    found = re.findall(r"-?[\d.]+", group.get_attribute("transform") or "")
    return float(found[0]), -float(found[1])


def lies(mark: dict[str, Any], view: str) -> tuple[float, float]:
    u, v, _ = place(view, mark["azimuth"], mark["elevation"])
    return u, v


@pytest.mark.parametrize("view", VIEWS)
def test_the_page_finds_places_where_the_site_does(come: Callable[..., Visitor], view: str) -> None:
    """Over the whole paper of each view, to a twentieth of a millimetre."""
    visitor = come("desktop")
    visitor.go("/account/login/")
    page = visitor.page
    points = [(u, v) for u in range(-110, 111, 10) for v in range(-110, 111, 10)]
    found = page.evaluate(UNDER, [head_figures(), view_axes(view), points])
    missed = 0
    for (u, v), at in zip(points, found, strict=True):
        there = locate(view, u, v)
        if there is None or at is None:
            # Beside the head for both.
            assert there is at, (u, v)
            missed += 1
            continue
        place_there = SHEET_HEAD.surface(there.azimuth_deg, there.elevation_deg)
        if SHEET_HEAD.normal(place_there) @ view_of(view).toward > 0.1:
            assert at == pytest.approx(place_there.tolist(), abs=0.05), (u, v)
    assert 100 < missed < 400


@pytest.mark.parametrize("device", ["tablet", "phone"])
def test_a_tap_shows_the_mark_at_once_and_arrows_put_it_right_before_it_is_named_and_after(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]], device: str
) -> None:
    assessor = sit(device)
    page = assessor.page
    page.locator("#mark").tap()
    page.locator("#fault").wait_for()
    assert not page.locator("#arrow-up").is_visible()
    tap(page, 12, 10)
    said(page, "Mark 2, occipital, not kept yet.")
    assert target(page) == pytest.approx((12, 10), abs=0.6)
    # The views that see it show it too, and the others do not.
    tab = {view: target(page, f"#view-{view} svg") for view in ("back", "right", "front")}
    assert tab["back"] == pytest.approx((12, 10), abs=0.6)
    assert tab["front"] is None
    assert len(marks()) == 1

    page.locator("#arrow-up").tap()
    said(page, "moved 5 mm up, not kept yet.")
    page.locator("#fine").check()
    page.locator("#arrow-left").tap()
    said(page, "moved 1 mm left, not kept yet.")
    before = target(page)
    assert before is not None
    assert before == pytest.approx((11, 15), abs=0.7)

    page.locator("#id_fault_fault").select_option("own-1")
    page.locator("#id_fault_note").fill("the comb again")
    page.locator("#mark-there").tap()
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    [_, new] = marks()
    assert lies(new, "back") == pytest.approx(before, abs=0.2)
    assert (new["zone"], new["note"]) == ("occipital", "the comb again")

    page.locator("#arrow-down").tap()
    said(page, "Fault 2, wedge at the end, occipital, moved 5 mm down.")
    assert lies(marks()[1], "back") == pytest.approx((before[0], before[1] - 5), abs=0.3)
    assert target(page) == pytest.approx((before[0], before[1] - 5), abs=0.3)
    assert page.locator(".fault-row[aria-current] .fault").inner_text().endswith("2")
    # A reload shows the same.
    page.reload()
    assert page.locator(".fault-row[aria-current] .fault").inner_text().endswith("2")


def test_a_named_fault_is_kept_by_the_tap_itself(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]]
) -> None:
    page = sit("tablet", "view=back&mark=fault").page
    page.locator("#id_fault_fault").select_option("own-1")
    tap(page, -20, 5)
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    assert lies(marks()[1], "back") == pytest.approx((-20, 5), abs=0.6)


def test_the_keyboard_alone_marks_moves_undoes_and_takes_off(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]]
) -> None:
    page = sit("desktop").page
    keyboard = page.keyboard

    def focused() -> str:
        found: str = page.evaluate("document.activeElement.id")
        return found

    page.locator("#mark").focus()
    keyboard.press("Enter")
    page.locator("#fault").wait_for()
    expect(page.locator("#id_fault_fault")).to_be_focused()
    keyboard.type("Wedge")
    keyboard.press("Tab")
    keyboard.type("occipital")
    keyboard.press("Tab")
    keyboard.type("by key")
    # Enter in the note marks it in the middle of the zone.
    keyboard.press("Enter")
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    expect(page.locator("#arrow-up")).to_be_focused()
    assert lies(marks()[1], "back") == pytest.approx(
        place("back", MIDDLE.azimuth_deg, MIDDLE.elevation_deg)[:2], abs=0.1
    )
    start = lies(marks()[1], "back")
    for _ in range(3):
        # Three at once: none is lost, each waits for the one before.
        keyboard.press("ArrowRight")
    keyboard.press("Shift+ArrowDown")
    said(page, "moved 1 mm down.")
    page.locator("#desk:not([aria-busy])").wait_for()
    assert lies(marks()[1], "back") == pytest.approx((start[0] + 15, start[1] - 1), abs=0.5)
    assert focused() == "arrow-up"
    assert not page.locator("#fine").is_checked()
    page.locator("#undo-move").focus()
    keyboard.press("Enter")
    said(page, "back where it was.")
    assert lies(marks()[1], "back") == pytest.approx((start[0] + 15, start[1]), abs=0.4)
    page.get_by_role("button", name="Take fault 2 off").focus()
    keyboard.press("Enter")
    page.locator("#undo-off").wait_for()
    assert len(marks()) == 1
    expect(page.locator("#undo-off")).to_be_focused()
    keyboard.press("Enter")
    said(page, "Fault 2, wedge at the end, occipital, back.")
    assert marks()[1]["note"] == "by key"


def test_a_mark_is_taken_in_hand_on_the_head_and_put_elsewhere_in_another_view(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]]
) -> None:
    page = sit("tablet").page
    ring = page.locator("#head-box .hd-fault circle:not(.at)").bounding_box()
    assert ring
    # Beside the ring, as a gloved finger comes.
    page.touchscreen.tap(ring["x"] - 4, ring["y"] + ring["height"] / 2)
    page.locator("#head-box .hd-fault.chosen").wait_for()
    said_at = page.locator("#in-hand-said")
    assert "Tap its new place" in said_at.inner_text()
    page.locator("#view-left").tap()
    page.locator("#view-left[aria-current]").wait_for()
    tap(page, 60, -10)
    said(page, "Fault 1, wedge at the end, occipital, moved there.")
    assert lies(marks()[0], "left") == pytest.approx((60, -10), abs=0.6)
    # One tap moves once: the next one opens a zone, or nothing.
    assert not page.locator("#head-box[data-tap]").count()
    page.locator("#undo-move").tap()
    said(page, "back where it was.")
    assert (marks()[0]["azimuth"], marks()[0]["elevation"]) == (
        MIDDLE.azimuth_deg,
        MIDDLE.elevation_deg,
    )


def test_where_a_view_does_not_see_the_mark_the_head_can_be_turned(
    sit: Callable[..., Visitor],
) -> None:
    page = sit("tablet").page
    page.locator("#fault-1").tap()
    page.locator(".fault-row[aria-current]").wait_for()
    page.locator("#view-front").tap()
    page.locator("#turn", has_text="Turn the head: back").wait_for()
    assert target(page) is None
    page.locator("#arrow-up").tap()
    said(page, "Turn the head to another view.")
    page.locator("#turn").tap()
    page.locator("#view-back[aria-current]").wait_for()
    assert target(page) is not None


@pytest.mark.parametrize(
    ("where", "words"),
    [((100, 90), "That was beside the head."), ((-60, -20), "That was on bare skin.")],
)
def test_a_tap_beside_the_hair_gets_a_sentence_and_what_was_typed_stays(
    sit: Callable[..., Visitor],
    marks: Callable[..., list[dict[str, Any]]],
    where: tuple[float, float],
    words: str,
) -> None:
    at = locate("left", *where)
    assert at is None or at.zone is None
    page = sit("tablet", "view=left&mark=fault").page
    tap(page, 40, 0)
    said(page, "Mark 2, occipital, not kept yet.")
    page.locator("#id_fault_note").fill("two foils")
    page.locator("#id_fault_fault").select_option("own-1")
    tap(page, *where)
    said(page, words)
    # The place tapped before is still there to be kept.
    assert target(page) == pytest.approx((40, 0), abs=0.6)
    assert page.locator("#id_fault_note").input_value() == "two foils"
    assert len(marks()) == 1
    # Another view shows it too, and nothing typed is lost on the way.
    page.locator("#view-back").tap()
    page.locator("#view-back[aria-current]").wait_for()
    expect(page.locator("#id_fault_note")).to_have_value("two foils")
    page.locator("#mark-there").tap()
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    assert lies(marks()[1], "left") == pytest.approx((40, 0), abs=0.6)


def offline(visitor: Visitor, on: bool) -> None:
    """The browser says of requests that did not get through; that is no trouble of the page."""
    visitor.context.set_offline(on)
    if not on:
        visitor.trouble = [line for line in visitor.trouble if "ERR_" not in line]


def test_without_signal_marks_are_drawn_at_once_wait_and_go_up_once_in_their_order(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]], pages: list[Page]
) -> None:
    """Placed, moved and taken off, in another view too, and over a page that was closed."""
    assessor = sit("tablet")
    page = assessor.page
    offline(assessor, on=True)
    page.locator("#mark").tap()
    page.locator("#id_fault_fault").select_option("own-1")
    page.locator("#id_fault_note").fill("by the ear")
    tap(page, 12, 10)
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    row = page.locator(".fault-list .waits")
    expect(row).to_contain_text("occipital, by the ear, waits on this device")
    assert page.locator("#head-box .hd-fault.waits text").text_content() == "2"
    expect(page.locator("#touches")).to_have_text(
        "1 touch waits on this device and goes up by itself."
    )
    page.locator("#arrow-up").tap()
    said(page, "Fault 2, wedge at the end, occipital, moved 5 mm up.")
    # A mark that the site has is taken off, and one is put on the other side of the head.
    page.locator("#fault-1").tap()
    page.get_by_role("button", name="Take fault 1 off").tap()
    expect(page.locator("#off")).to_contain_text("Fault 1, wedge at the end, occipital, is off.")
    page.locator("#mark").tap()
    page.locator("#view-left").tap()
    page.locator("#view-left[aria-current]").wait_for()
    page.locator("#id_fault_fault").select_option("gap")
    tap(page, 10, 50)
    said(page, "Fault 3, gap, ")
    expect(page.locator("#touches")).to_contain_text("3 touches wait on this device")
    assert len(marks(waiting=True)) == 1
    here = page.url
    page.close()

    pages[:] = [assessor.context.new_page()]
    page = assessor.page = pages[0]
    offline(assessor, on=False)
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    assessor.go(here)
    second, third = marks()
    assert (second["number"], second["note"], second["zone"]) == (2, "by the ear", "occipital")
    assert lies(second, "back") == pytest.approx((12, 15), abs=0.7)
    assert lies(third, "left") == pytest.approx((10, 50), abs=0.7)
    assert len([url for url in sent if "touches" in url]) == 1
    assert page.locator(".fault-row:visible [data-number]").all_inner_texts() == ["2", "3"]
    expect(page.locator("#touches")).to_be_hidden()


def test_a_lost_answer_to_a_mark_makes_no_second_one(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]]
) -> None:
    assessor = sit("tablet", "view=back&mark=fault")
    page = assessor.page

    def lose(route: Route) -> None:
        """The site keeps it, and the answer is lost."""
        route.fetch()
        route.abort()

    page.route("**/touches/", lose, times=1)
    page.locator("#id_fault_fault").select_option("own-1")
    tap(page, 12, 10)
    said(page, "Fault 2, wedge at the end, occipital, marked.")
    expect(page.locator("#touches")).to_contain_text("1 touch waits")
    assert len(marks(waiting=True)) == 2
    # Moved meanwhile: no question, what stands is this device's own.
    page.locator("#arrow-up").tap()
    first, second = marks()
    assert first["number"] == 1
    assert lies(second, "back") == pytest.approx((12, 15), abs=0.7)
    offline(assessor, on=False)


@pytest.mark.parametrize(("button", "moved"), [("Keep mine", True), ("Keep that", False)])
def test_a_mark_that_was_taken_off_elsewhere_is_compared_with_the_move_made_here(
    sit: Callable[..., Visitor],
    marks: Callable[..., list[dict[str, Any]]],
    site: Site,
    told: dict[str, Any],
    button: str,
    moved: bool,
) -> None:
    assessor = sit("tablet")
    page = assessor.page
    offline(assessor, on=True)
    page.locator("#fault-1").tap()
    page.locator("#arrow-up").tap()
    site.behind("unmark_elsewhere", head=told["head"], number=1)
    offline(assessor, on=False)
    choice = page.locator(".fault-list .two-answers")
    expect(choice).to_contain_text("It stands: no mark. Pressed here: Fault 1, wedge at the end")
    assert marks(waiting=True) == []
    choice.get_by_role("button", name=button).tap()
    assert [lies(mark, "back")[1] > MIDDLE_UP + 4 for mark in marks()] == [True] * moved
    expect(choice).to_be_hidden()


def test_a_level_given_meanwhile_leaves_the_mark_that_is_not_kept(
    sit: Callable[..., Visitor],
) -> None:
    page = sit("tablet", "zone=occipital&view=left&mark=fault").page
    tap(page, 40, 0)
    said(page, "not kept yet")
    level = page.locator("#crit-S2- .levels label")
    row = page.locator("#crit-S2-")
    other = "2" if row.get_attribute("data-stands") == "4" else "4"
    level.nth(int(other)).tap()
    page.locator(f"#crit-S2-[data-stands='{other}']").wait_for()
    expect(page.locator("#head-box .hd-target")).to_have_attribute("visibility", "visible")
    assert page.locator("#view-left[aria-current]").count() == 1
    assert target(page) == pytest.approx((40, 0), abs=0.6)


def test_the_head_larger_is_as_wide_as_the_page_and_taps_still_meet_it(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]]
) -> None:
    page = sit("tablet").page
    narrow = page.locator("#head-box").bounding_box()
    page.locator("#size").tap()
    page.locator(".chair.large").wait_for()
    page.reload()
    wide, desk = (page.locator(one).bounding_box() for one in ("#head-box", "#desk"))
    assert narrow
    assert wide
    assert desk
    assert wide["width"] > 1.5 * narrow["width"]
    assert wide["width"] == pytest.approx(desk["width"], abs=1)
    page.locator("#mark").tap()
    page.locator("#fault").wait_for()
    page.locator("#id_fault_fault").select_option("own-1")
    tap(page, 0, -60)
    said(page, "Fault 2, wedge at the end, nape, marked.")
    assert lies(marks()[1], "back") == pytest.approx((0, -60), abs=0.4)
    page.locator("#size").tap()
    page.locator(".chair:not(.large)").wait_for()


def test_a_zone_is_opened_on_the_head_and_in_the_list(sit: Callable[..., Visitor]) -> None:
    page = sit("tablet").page
    row = page.locator(".zone", has_text="Occipital")
    assert "1 of 1" in row.inner_text()
    assert page.locator("#head-box .hd-value").text_content() == "1 of 1"
    page.locator("#head-box [data-zone=occipital]").first.tap(position={"x": 30, "y": 60})
    page.wait_for_url(lambda url: "zone=occipital" in url)
    assert page.locator(".zone[aria-current]", has_text="Occipital").count() == 1


@pytest.mark.parametrize("device", ["tablet", "phone"])
@pytest.mark.parametrize("query", ["view=back", "view=left&mark=fault", "view=back&large=1"])
def test_all_that_is_pressed_is_as_large_as_a_finger(
    sit: Callable[..., Visitor], device: str, query: str
) -> None:
    page = sit(device, query).page
    if "mark" in query:
        tap(page, 40, 0)
        assert page.locator("#arrow-up").is_visible()
    else:
        page.locator("#fault-1").tap()
        page.locator(".fault-row[aria-current]").wait_for()
        page.locator("#arrow-up").tap()
        page.locator("#undo-move").wait_for()
        page.wait_for_function(UP)
    assert page.evaluate(SMALL, FINGER_PX) == []
    for one in page.locator(
        ".arrows .btn, .zone[href], .fault-row:visible, .views a:visible"
    ).all():
        box = one.bounding_box()
        assert box
        assert box["height"] >= GLOVE_PX, one.inner_text()
        assert box["width"] >= GLOVE_PX, one.inner_text()
    assert page.evaluate(SIDEWAYS) == ""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_judge_finds_no_fault_with_a_mark_in_hand(
    sit: Callable[..., Visitor], scheme: str
) -> None:
    assessor = sit("tablet")
    cookie = {"name": "theme", "value": scheme, "url": assessor.home}
    assessor.context.add_cookies([cookie])  # type: ignore[list-item]
    page = assessor.page
    page.reload()
    page.locator("#fault-1").tap()
    page.locator(".fault-row[aria-current]").wait_for()
    page.locator("#arrow-up").tap()
    page.locator("#undo-move").wait_for()
    assessor.look()
    page.locator("#leave").tap()
    page.locator("#mark").tap()
    page.locator("#fault").wait_for()
    tap(page, 12, 10)
    said(page, "not kept yet")
    assessor.look()


@pytest.mark.parametrize("device", ["tablet", "phone"])
def test_without_script_lists_and_buttons_do_it_all(
    sit: Callable[..., Visitor], marks: Callable[..., list[dict[str, Any]]], device: str
) -> None:
    assessor = sit(device, script=False)
    page = assessor.page
    assessor.follow("Mark a fault on the head")
    assert not page.locator("#arrow-up").is_visible()
    page.locator("#fault [name=fault]").select_option("own-1")
    page.locator("#fault [name=zone]").select_option("nape")
    assessor.press("Mark in the middle of the zone")
    assessor.reads("Fault 2, wedge at the end, nape, marked.")
    start = lies(marks()[1], "back")
    page.locator("#arrow-right").click()
    assessor.reads("moved 5 mm right.")
    page.locator("#fine").check()
    page.locator("#arrow-up").click()
    assessor.reads("moved 1 mm up.")
    assert page.locator("#fine").is_checked()
    assert lies(marks()[1], "back") == pytest.approx((start[0] + 5, start[1] + 1), abs=0.3)
    assessor.press("Undo the last move")
    assessor.reads("back where it was.")
    page.locator("summary", has_text="It is another fault").click()
    page.locator("[name=note]:visible").first.fill("no script")
    assessor.press("Change the fault")
    assessor.reads("nape, no script")
    assessor.press("Take fault 2 off")
    assessor.reads("Fault 2, wedge at the end, nape, is off.")
    assessor.press("Undo", exact=True)
    assert marks()[1]["note"] == "no script"
    if device == "tablet":
        assessor.follow("Larger")
        assert page.locator(".chair.large").count() == 1


def test_an_educator_taps_where_the_faults_of_a_reference_head_lie(
    come: Callable[..., Visitor], told: dict[str, Any], site: Site
) -> None:
    at = site.behind("reference", slug=SLUG, key="slices")["token"]
    educator = come("desktop")
    educator.sign_in(told["people"]["educator"], told["password"])
    educator.go(f"/{SLUG}/assessment/references/{at}/edit/")
    page = educator.page
    page.locator("[name=fault-1]").select_option("own-1")
    svg = page.locator("#head svg[data-view=back]")
    svg.scroll_into_view_if_needed()
    middle = svg.evaluate(
        """(svg) => {
          const at = new DOMPoint(12, -10).matrixTransform(svg.getScreenCTM());
          return [at.x, at.y];
        }"""
    )
    page.mouse.click(*middle)
    expect(page.locator("#say")).to_have_text("Fault 1 lies there, occipital.")
    assert svg.locator(".hd-fault text").text_content() == "1"
    expect(page.locator("[name=zone-1]")).to_have_value("occipital")
    # The second by its zone, which the drawing shows too.
    page.get_by_role("button", name="Fault 2").click()
    page.locator("[name=fault-2]").select_option("gap")
    page.locator("[name=zone-2]").select_option("nape")
    assert svg.locator(".hd-fault").count() == 2
    educator.look()
    educator.press("Keep for later")
    kept = site.behind("reference_faults", token=at)
    # To a pixel, which is about a millimetre of this smaller head.
    assert lies(kept[0], "back") == pytest.approx((12, 10), abs=1.2)
    assert [fault["zone"] for fault in kept] == ["occipital", "nape"]
    assert page.locator("#head svg[data-view=back] .hd-fault").count() == 2
