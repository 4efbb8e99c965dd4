"""A sheet on a phone: nothing typed is lost without signal, and no older text wins."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor

SLUG = "phones"
# What the browser itself says of requests that did not get through.
CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    return words


@pytest.fixture
def title(request: pytest.FixtureRequest) -> str:
    return str(request.node.name)[-60:]


@pytest.fixture
def apprentice(
    come: Callable[..., Visitor], site: Site, told: dict[str, Any], title: str
) -> Iterator[Visitor]:
    """Signed in on a phone, with a sheet of two questions before them."""
    token = site.behind("trial", slug=SLUG, title=title)["token"]
    visitor = come("phone")
    visitor.sign_in(told["people"]["apprentice"], told["password"])
    visitor.go(f"/{SLUG}/exercises/{token}/answer/")
    visitor.press("Begin")
    yield visitor
    visitor.trouble[:] = [line for line in visitor.trouble if not any(cut in line for cut in CUT)]


def kept_says(page: Page, words: str) -> None:
    expect(page.locator("#kept")).to_contain_text(words)


def boxes(page: Page) -> str:
    """What lies in the outboxes of this browser."""
    read = "JSON.stringify(Object.entries(localStorage).filter(([n]) => n.includes('outbox')))"
    return str(page.evaluate(read))


def cut_off(page: Page) -> None:
    """The site is there, but no answer gets through."""
    page.context.route("**/outbox/", lambda route: route.abort())


def back(page: Page) -> None:
    page.context.unroute("**/outbox/")
    page.evaluate("dispatchEvent(new Event('online'))")


def test_answers_wait_without_signal_and_go_up_by_themselves(
    apprentice: Visitor, site: Site, title: str
) -> None:
    page = apprentice.page
    page.fill("[name=q1-gap]", "4")
    kept_says(page, "kept, ")
    page.context.set_offline(True)
    page.fill("[name=q1-gap]", "5")
    page.fill("[name=q1-gap]", "6")
    page.fill("[name=q1-lift]", "-2")
    page.check("#id_q1-tools_brush")
    kept_says(page, "3 answers wait on this phone, they go up by themselves")
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": "4"}
    page.context.set_offline(False)
    kept_says(page, "kept, ")
    assert site.behind("kept", slug=SLUG, title=title) == {
        "q1-gap": "6",
        "q1-lift": "-2",
        "q1-tools": "brush",
    }
    assert boxes(page) == "[]"


@pytest.mark.parametrize("trouble", ["QuotaExceededError", "SecurityError"])
def test_a_browser_that_is_full_or_keeps_nothing_still_sends_the_newest_text(
    trouble: str, apprentice: Visitor, site: Site, title: str
) -> None:
    page = apprentice.page
    cut_off(page)
    page.fill("[name=q1-gap]", "4")
    kept_says(page, "1 answer waits")
    names = ["setItem"] if trouble.startswith("Quota") else ["setItem", "getItem", "removeItem"]
    page.evaluate(
        """([names, trouble]) => {
          for (const name of names)
            Storage.prototype[name] = () => { throw new DOMException("no", trouble); };
        }""",
        [names, trouble],
    )
    page.fill("[name=q1-gap]", "6")
    page.fill("[name=q1-lift]", "-2")
    kept_says(page, "answers wait on this phone")
    back(page)
    kept_says(page, "kept, ")
    kept = {"q1-gap": "6", "q1-lift": "-2"}
    assert site.behind("kept", slug=SLUG, title=title) == kept


def test_where_the_outbox_does_not_load_each_question_is_a_form_of_its_own(
    apprentice: Visitor, site: Site, title: str
) -> None:
    page = apprentice.page
    page.context.route("**/outbox*.js", lambda route: route.abort())
    page.reload()
    page.fill("[name=q1-gap]", "6")
    apprentice.press("Question 2")
    page.wait_for_url("**question=2")
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": "6"}


def test_a_sheet_of_somebody_else_is_left_for_them_and_asked_for_once(
    apprentice: Visitor, site: Site, told: dict[str, Any], title: str
) -> None:
    page = apprentice.page
    cut_off(page)
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "1 answer waits")
    # The session ends on a shared phone, and another signs in.
    page.context.clear_cookies(name="sessionid")
    apprentice.sign_in(told["people"]["educator"], told["password"])
    page.context.unroute("**/outbox/")
    with page.expect_response("**/outbox/") as answer:
        page.reload()
    assert answer.value.status in {403, 404}
    apprentice.press("Sign out")
    page.wait_for_url("**/account/login/**")
    assert "q1-gap" in boxes(page)
    apprentice.trouble.clear()  # the browser notes the refusal


def test_the_next_question_asks_for_no_signal(apprentice: Visitor, site: Site, title: str) -> None:
    page = apprentice.page
    page.context.set_offline(True)
    page.fill("[name=q1-gap]", "5")
    apprentice.press("Question 2")
    expect(page.locator("#question-2")).to_be_visible()
    expect(page.locator("#question-1")).to_be_hidden()
    expect(page.locator("#question-2 h1")).to_be_focused()
    page.locator("#question-2 [data-key=b] [data-deed=next]").click()
    page.go_back()
    expect(page.locator("#question-1")).to_be_visible()
    assert page.input_value("[name=q1-gap]") == "5"
    expect(page.locator(".hops button").nth(0)).to_contain_text("6 open")
    page.context.set_offline(False)
    kept_says(page, "kept, ")
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": "5", "q2-order": "b"}


def test_what_waits_is_there_when_the_page_is_opened_again(
    apprentice: Visitor, site: Site, title: str
) -> None:
    before = apprentice.page
    cut_off(before)
    before.fill("[name=q1-gap]", "7")
    before.click("#question-1 button[name=none]")
    before.check("#id_q1-tools_comb")
    for key in "dacb":
        before.click(f"#question-1 [data-key={key}] [data-deed=next]")
    tap(before, "left", -10, -40)
    # A page that is closed in an orderly way sends once more; one that is swept away does not.
    page = before.context.new_page()
    page.goto(before.url)
    assert site.behind("kept", slug=SLUG, title=title) == {}
    assert page.input_value("[name=q1-gap]") == "7"
    assert page.input_value("[name=q1-check]") == "none"
    expect(page.locator("#question-1 button[name=none]")).to_have_attribute("aria-pressed", "true")
    assert page.is_checked("#id_q1-tools_comb")
    placed = page.locator("#question-1 .order li")
    assert placed.evaluate_all("all => all.map(one => one.dataset.key)") == list("dacb")
    assert dots(page)["left"] == pytest.approx((-10, -40), abs=0.8)
    expect(page.locator("[data-open]").last).to_contain_text("3 lines open")
    back(page)
    kept_says(page, "kept, ")
    kept = site.behind("kept", slug=SLUG, title=title)
    assert kept.pop("q1-left").startswith("left -10")
    assert kept == {
        "q1-gap": "7",
        "q1-check": "none",
        "q1-tools": "comb",
        "q1-order": "d, a, c, b",
    }


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_an_answer_from_elsewhere_is_put_beside_an_older_one_to_choose(
    choice: str, apprentice: Visitor, site: Site, title: str
) -> None:
    page = apprentice.page
    cut_off(page)
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "1 answer waits")
    site.behind("elsewhere", slug=SLUG, title=title, field="gap", text="8")
    back(page)
    kept_says(page, "choose which one holds")
    expect(page.locator("#id_q1-gap_note")).to_contain_text("From elsewhere: 8 mm")
    # It still stands there after a reload, and nothing is handed in over it.
    page.reload()
    expect(page.locator("#id_q1-gap_note")).to_contain_text("From elsewhere: 8 mm")
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": "8"}
    apprentice.press("Question 2")
    apprentice.press("Hand in")
    expect(page.locator("#id_q1-gap_note button").first).to_be_focused()
    page.click(f"#id_q1-gap_note button[name={choice}]")
    kept_says(page, "kept, ")
    figure = "5" if choice == "mine" else "8"
    expect(page.locator("#id_q1-gap_note")).to_contain_text(f"Reads as {figure} mm")
    assert page.input_value("[name=q1-gap]") == figure
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": figure}
    assert boxes(page) == "[]"


def test_nothing_is_handed_in_without_signal(apprentice: Visitor) -> None:
    page = apprentice.page
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "kept, ")
    apprentice.press("Question 2")
    page.context.set_offline(True)
    apprentice.press("Hand in")
    kept_says(page, "No connection to the site, so nothing can be handed in now.")
    page.context.set_offline(False)
    apprentice.press("Hand in")
    apprentice.reads("7 lines are still open")


def test_signing_out_asks_before_answers_are_lost(
    apprentice: Visitor, site: Site, told: dict[str, Any], title: str
) -> None:
    page, address = apprentice.page, apprentice.page.url
    cut_off(page)
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "1 answer waits")
    apprentice.press("Sign out")
    apprentice.reads("1 answer waits on this phone and has not gone up.")
    apprentice.press("Stay signed in")
    expect(page.locator("#leaving")).to_be_hidden()
    apprentice.press("Sign out")
    apprentice.press("Sign out and lose them")
    page.wait_for_url("**/account/login/**")
    assert page.evaluate("localStorage.length") == 0
    # With signal what waits is sent first, and nothing is asked.
    apprentice.sign_in(told["people"]["apprentice"], told["password"])
    apprentice.go(address)
    page.fill("[name=q1-lift]", "-1")
    kept_says(page, "1 answer waits")
    page.context.unroute("**/outbox/")
    apprentice.press("Sign out")
    page.wait_for_url("**/account/login/**")
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-lift": "-1"}


def test_who_was_signed_out_signs_in_and_loses_nothing(
    apprentice: Visitor, site: Site, told: dict[str, Any], title: str
) -> None:
    page = apprentice.page
    page.context.clear_cookies(name="sessionid")
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "You are signed out. What you typed waits on this phone.")
    page.locator("#kept a").click()
    page.wait_for_url("**/account/login/**")
    apprentice.sign_in(told["people"]["apprentice"], told["password"])
    # What waits goes up from whatever page comes then.
    for _ in range(100):
        if boxes(page) == "[]":
            break
        page.wait_for_timeout(100)
    assert site.behind("kept", slug=SLUG, title=title) == {"q1-gap": "5"}


def test_what_came_too_late_for_its_sheet_is_said_and_dropped(
    apprentice: Visitor, site: Site, title: str
) -> None:
    page = apprentice.page
    cut_off(page)
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "1 answer waits")
    token = site.behind("handed_in", slug=SLUG, title=title)["token"]
    back(page)
    kept_says(page, "Nothing on it changes any more.")
    apprentice.trouble.clear()  # the browser notes that the site refused
    apprentice.go(f"/{SLUG}/exercises/sheets/{token}/")
    apprentice.reads("Something typed on this phone came too late for this sheet")
    apprentice.press("Drop it")
    assert boxes(page) == "[]"


def test_the_outbox_holds_nothing_of_a_person(apprentice: Visitor, told: dict[str, Any]) -> None:
    page = apprentice.page
    cut_off(page)
    page.fill("[name=q1-gap]", "5")
    kept_says(page, "1 answer waits")
    held = boxes(page)
    assert "q1-gap" in held
    for word in (told["names"]["apprentice"], told["people"]["apprentice"], "foil"):
        assert word not in held


def test_none_of_these_and_any_of_them_exclude_each_other(apprentice: Visitor) -> None:
    page = apprentice.page
    page.check("#id_q1-tools_brush")
    page.check("#id_q1-tools_none")
    assert not page.is_checked("#id_q1-tools_brush")
    page.check("#id_q1-tools_bowl")
    assert not page.is_checked("#id_q1-tools_none")
    expect(page.locator("#id_q1-tools_note")).to_contain_text("Reads as bowl")


def test_an_order_is_made_with_the_keyboard(apprentice: Visitor) -> None:
    page = apprentice.page
    order = page.locator("#question-1 .order")

    def keys() -> str:
        placed = order.locator("li:not(.open)")
        return "".join(placed.evaluate_all("all => all.map(one => one.dataset.key)"))

    page.focus("#question-1 [data-key=c] [data-deed=next]")
    page.keyboard.press("Enter")
    for key in "abd":
        page.focus(f"#question-1 [data-key={key}] [data-deed=next]")
        page.keyboard.press("Space")
    assert keys() == "cabd"
    up = page.locator("#question-1 [data-key=d] [data-deed=up]")
    expect(up).to_be_focused()
    page.keyboard.press("Enter")
    expect(up).to_be_focused()
    page.keyboard.press("Enter")
    assert keys() == "cdab"
    page.click("#question-1 [data-key=c] [data-deed=out]")
    assert keys() == "dab"
    expect(page.locator("#id_q1-order_note")).to_contain_text("C is missing")
    small = page.locator("#question-1 .press:visible").evaluate_all(
        "all => all.map(a => a.getBoundingClientRect()).filter(b => b.height < 56 || b.width < 56)"
    )
    assert small == []


def dots(page: Page) -> dict[str, tuple[float, float]]:
    """Where point 1 is drawn in each view that shows it."""
    read = """all => all.map(one => [one.closest("svg").dataset.view, one.getAttribute("transform"),
                                     one.getAttribute("visibility")])"""
    found = page.locator("[data-dot=q1-left]").evaluate_all(read)
    places = {}
    for view, where, visible in found:
        if visible != "hidden":
            x, y = re.findall(r"-?[\d.]+", where)
            places[view] = (float(x), float(y))
    return places


def tap(page: Page, view: str, x: float, y: float) -> None:
    """Tap a view at millimetres to the right and down."""
    svg = page.locator(f"#question-1 svg[data-view={view}]")
    svg.scroll_into_view_if_needed()
    at = svg.evaluate(
        "(s, [x, y]) => { const p = new DOMPoint(x, y).matrixTransform(s.getScreenCTM());"
        " return [p.x, p.y]; }",
        [x, y],
    )
    page.mouse.click(*at)


@pytest.mark.parametrize(
    ("view", "x", "y"), [("left", -10, -40), ("top", 30, 20), ("back", 5, -50)]
)
def test_a_tap_puts_a_point_where_the_site_sees_it_too(
    view: str, x: float, y: float, apprentice: Visitor
) -> None:
    """The script finds the place without signal; the site draws the same after a reload."""
    page = apprentice.page
    tap(page, view, x, y)
    here = dots(page)
    assert here[view] == pytest.approx((x, y), abs=0.8)
    assert len(here) >= 2
    kept_says(page, "kept, ")
    expect(page.locator("#id_q1-left_note")).to_contain_text("Placed on the")
    page.reload()
    there = dots(page)
    assert set(there) == set(here)
    for name in here:
        assert there[name] == pytest.approx(here[name], abs=0.5)


def test_a_point_is_moved_by_buttons_and_by_arrow_keys(apprentice: Visitor) -> None:
    page = apprentice.page
    tap(page, "left", -10, -40)
    page.click("button[name=nudge][value='q1-left up']")
    assert dots(page)["left"] == pytest.approx((-10, -42), abs=0.8)
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    assert dots(page)["left"] == pytest.approx((-8, -41), abs=0.8)
    tap(page, "left", -100, -110)  # beside the head
    assert dots(page)["left"] == pytest.approx((-8, -41), abs=0.8)


def test_a_point_is_put_from_the_list_of_zones(apprentice: Visitor) -> None:
    page = apprentice.page
    page.locator("#div_id_q1-right summary").click()
    page.select_option("#zone_q1-right", label="Crown")
    page.click("button[name=middle][value=q1-right]")
    expect(page.locator("#id_q1-right_note")).to_contain_text("Placed on the crown")


def test_the_pages_of_every_kind_of_answer_are_usable_by_all(apprentice: Visitor) -> None:
    """Judged at three sizes: to answer, with refusals and a choice to make, and marked."""
    page = apprentice.page
    page.fill("[name=q1-gap]", "1,5,2")
    page.locator("[name=q1-gap]").blur()
    page.click("#question-1 [data-key=d] [data-deed=next]")
    tap(page, "left", -10, -40)
    page.check("#id_q1-tools_razor")
    kept_says(page, "kept, ")
    apprentice.look()
    apprentice.press("Question 2")
    for key in "abcd":
        page.click(f"#question-2 [data-key={key}] [data-deed=next]")
    apprentice.look()
    apprentice.press("Hand in")
    apprentice.reads("4 lines are still open")
    apprentice.press("Hand in with 4 open")
    apprentice.reads("These two are the wrong way round")
    apprentice.look()


def test_the_givens_in_sight_are_those_of_the_line_in_work(
    come: Callable[..., Visitor], site: Site, told: dict[str, Any], title: str
) -> None:
    part = {"title": title, "family": "cover-white-hair", "level": "working"}
    token = site.behind("paper", slug=SLUG, **part)["token"]
    visitor = come("phone")
    visitor.sign_in(told["people"]["apprentice"], told["password"])
    visitor.go(f"/{SLUG}/exercises/{token}/answer/")
    visitor.press("Begin")
    page = visitor.page
    page.context.set_offline(True)
    page.focus("[name=q1-cream]")
    expect(page.locator(".crib-now")).to_contain_text("Mixed product")
    page.context.set_offline(False)


def test_a_test_says_how_much_time_is_left_and_ends(
    come: Callable[..., Visitor], site: Site, told: dict[str, Any], title: str
) -> None:
    token = site.behind("trial", slug=SLUG, title=title, kind="test", minutes=6)["token"]
    visitor = come("phone")
    visitor.sign_in(told["people"]["apprentice"], told["password"])
    page = visitor.page
    page.clock.install()
    visitor.go(f"/{SLUG}/exercises/{token}/answer/")
    visitor.press("Begin")
    expect(page.locator("#time-left")).to_have_text(re.compile(r"[56]:\d\d"))
    page.clock.run_for(62_000)
    kept_says(page, "5 minutes left")
    page.clock.run_for(241_000)
    kept_says(page, "1 minute left")
    page.locator("[name=q1-gap]").fill("5")
    page.clock.run_for(62_000)
    page.wait_for_url("**/exercises/sheets/**")
    assert site.behind("kept", slug=SLUG, title=title)["q1-gap"] == "5"
