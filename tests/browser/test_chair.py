"""Marking a head at the chair, also without signal: nothing pressed is lost or goes up twice."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.chairside import all_up, level, missing, rate, write_boxes
from tests.browser.visitor import SIDEWAYS

if TYPE_CHECKING:
    from playwright.sync_api import FilePayload, Page

    from tests.browser.served import Site
    from tests.browser.visitor import Visitor


SLUG = "chairs"
# What the browser itself says of requests that did not get through.
CUT = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED", "ERR_NETWORK")


@pytest.fixture(scope="module")
def told(site: Site) -> dict[str, Any]:
    words: dict[str, Any] = site.behind("academy", slug=SLUG)
    return words


@pytest.fixture
def head(site: Site, told: dict[str, Any], request: pytest.FixtureRequest) -> str:
    """An empty draft: A1 for the whole head, A2 and A3 in crown and nape."""
    key = re.sub(r"[^a-z0-9]+", "-", str(request.node.name).removeprefix("test_"))[-40:].strip("-")
    token: str = site.behind("chair", slug=SLUG, key=key)["token"]
    return token


@pytest.fixture
def sit(
    come: Callable[..., Visitor], told: dict[str, Any], head: str
) -> Iterator[Callable[..., Visitor]]:
    """`sit("tablet")`: the assessor before the empty draft."""
    there: list[Visitor] = []

    def one(device: str = "tablet", query: str = "", **how: object) -> Visitor:
        visitor = come(device, **how)
        visitor.sign_in(told["people"]["assessor"], told["password"])
        visitor.go(f"/{SLUG}/assessment/head/{head}/{query}")
        there.append(visitor)
        return visitor

    yield one
    for visitor in there:
        lines = visitor.trouble
        visitor.trouble[:] = [line for line in lines if not any(cut in line for cut in CUT)]


@pytest.fixture
def stands(site: Site, head: str) -> Callable[[], dict[str, Any]]:
    """What the site has of the draft."""

    def kept() -> dict[str, Any]:
        row: dict[str, Any] = site.behind("standing", head=head)
        return row

    return kept


def waits(page: Page, words: str) -> None:
    expect(page.locator("#touches")).to_contain_text(words)


def in_hand(page: Page) -> str:
    return str(page.locator(".crit.in-hand").get_attribute("data-place"))


def test_a_level_is_given_in_one_tap_and_the_next_criterion_comes_by_itself(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    page = sit().page
    assert in_hand(page) == "A2-crown"
    # The criterion in hand shows its five levels in words.
    words = page.locator(".crit.in-hand .text:visible")
    assert words.all_inner_texts() == [
        "not done", "wrong", "nearly right", "right, unaided", "right, even and calm",
    ]  # fmt: skip
    page.locator("#crit-A2-crown .levels label").nth(3).scroll_into_view_if_needed()
    where = page.locator(".crit.in-hand").bounding_box()
    level(page, "A2-crown", 3)
    assert in_hand(page) == "A3-crown"
    now = page.locator(".crit.in-hand").bounding_box()
    assert where
    assert now
    assert abs(where["y"] - now["y"]) < 3
    level(page, "A3-crown", 4)
    # The zone is whole: the next one is in hand, on the head too.
    assert in_hand(page) == "A2-nape"
    expect(page.locator("#zone-h")).to_have_text("Nape")
    assert page.locator(".zone[aria-current]").inner_text().startswith("Nape")
    assert missing(page) == "Still missing: 4 nape 2 · whole head 1 · overall rating 1"
    all_up(page)
    assert stands()["levels"] == {"A2-crown": 3, "A3-crown": 4}
    # Back without loss.
    page.locator("#step-back").tap()
    assert in_hand(page) == "A3-crown"
    assert page.locator("#crit-A3-crown input:checked").get_attribute("value") == "4"
    # A second thought about a level does not lead away from it.
    level(page, "A3-crown", 2)
    assert in_hand(page) == "A3-crown"
    all_up(page)
    page.reload()
    # What the script painted is what the site says.
    assert missing(page) == "Still missing: 4 nape 2 · whole head 1 · overall rating 1"
    assert stands()["levels"] == {"A2-crown": 3, "A3-crown": 2}


def test_a_double_tap_marks_one_criterion(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    page = sit().page
    box = page.locator("#crit-A2-crown .levels label").nth(1)
    box.scroll_into_view_if_needed()
    at = box.bounding_box()
    assert at
    page.mouse.dblclick(at["x"] + 20, at["y"] + 20)
    assert in_hand(page) == "A3-crown"
    all_up(page)
    assert stands()["levels"] == {"A2-crown": 1}


def test_a_head_that_turns_late_does_not_take_the_zone_out_of_hand(
    sit: Callable[..., Visitor],
) -> None:
    page = sit().page
    slow: list[Any] = []

    def hold(route: Any) -> None:
        slow.append(route)

    page.route("**/head/*/?*", hold, times=1)
    page.locator(".zone", has_text="Nape").tap()
    page.wait_for_timeout(200)
    page.locator(".zone", has_text="Crown").tap()
    assert slow
    slow[0].continue_()
    page.locator("#desk:not([aria-busy])").wait_for()
    page.wait_for_timeout(300)
    expect(page.locator("#zone-h")).to_have_text("Crown")
    assert page.locator("#crit-A2-crown").is_visible()
    assert "zone=crown" in page.url


def test_criterion_by_criterion_walks_one_criterion_over_all_zones_and_is_remembered(
    sit: Callable[..., Visitor], head: str
) -> None:
    visitor = sit()
    page = visitor.page
    page.get_by_role("link", name="Criterion by criterion").tap()
    expect(page.locator("#zone-h")).to_have_text("evenness 2")
    assert "by=criterion" in page.url
    assert page.locator(".crit[data-code=A2]:visible .of-zone").all_inner_texts() == [
        "Crown",
        "Nape",
    ]
    level(page, "A2-crown", 3)
    assert in_hand(page) == "A2-nape"
    level(page, "A2-nape", 3)
    assert in_hand(page) == "A3-crown"
    expect(page.locator("#zone-h")).to_have_text("evenness 3")
    all_up(page)
    page.reload()
    assert in_hand(page) == "A3-crown"
    # The device remembers it where the address does not say.
    visitor.go(f"/{SLUG}/assessment/head/{head}/")
    expect(page.locator("#zone-h")).to_have_text("evenness 3")
    page.get_by_role("link", name="Zone by zone").tap()
    expect(page.locator("#zone-h")).to_have_text("Crown")


def test_the_keyboard_alone_gives_levels_by_figure_and_arrows_do_not_lead_away(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    page = sit("desktop").page
    page.locator("#crit-A2-crown input").first.focus()
    page.keyboard.press("3")
    assert in_hand(page) == "A3-crown"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert in_hand(page) == "A3-crown"
    page.keyboard.press("Enter")
    assert in_hand(page) == "A2-nape"
    all_up(page)
    assert stands()["levels"]["A2-crown"] == 3
    assert stands()["levels"]["A3-crown"] in {1, 2}


def test_a_whole_head_is_marked_without_signal_survives_a_closed_page_and_goes_up_once(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]], head: str
) -> None:
    visitor = sit()
    page = visitor.page
    visitor.context.set_offline(True)
    level(page, "A2-crown", 3)
    level(page, "A3-crown", 1)
    # Zones open without signal too.
    page.locator(".zone", has_text="Nape").tap()
    expect(page.locator("#zone-h")).to_have_text("Nape")
    level(page, "A2-nape", 2)
    level(page, "A2-nape", 4)
    page.locator("#zone-out summary").tap()
    page.locator("#zone-out [name=reason]").fill("hair too short there")
    page.get_by_role("button", name="Leave it out today").tap()
    level(page, "A1-", 3)
    rate(page, 2)
    page.locator("#notes [name=note]").fill("Calm hands.")
    page.locator("#notes [name=minutes_used]").fill("31")
    page.locator("#notes [name=minutes_used]").blur()
    waits(page, "8 touches wait on this device and go up by themselves.")
    assert missing(page).startswith("Nothing is missing")
    assert stands()["touches"] == 0
    page.close()

    visitor.page = page = visitor.context.new_page()
    visitor.context.set_offline(False)
    visitor.go(f"/{SLUG}/assessment/head/{head}/")
    all_up(page)
    now = stands()
    assert now["levels"] == {"A2-crown": 3, "A3-crown": 1, "A1-": 3}
    assert now["out"] == {"nape": "hair too short there"}
    assert (now["overall"], now["note"], now["minutes"]) == (2, "Calm hands.", 31)
    assert now["touches"] == 8
    expect(page.locator("#notes [name=note]")).to_have_value("Calm hands.")
    assert missing(page).startswith("Nothing is missing")


def test_minutes_that_the_site_refuses_are_named_where_they_wait(
    sit: Callable[..., Visitor], stands: Callable[[], dict[str, Any]]
) -> None:
    page = sit().page
    page.locator("#notes [name=minutes_used]").fill("half an hour")
    page.get_by_role("button", name="Keep time and note").tap()
    expect(page.locator("#notes .two-answers")).to_contain_text("was not kept.")
    expect(page.locator("#touches")).to_have_text("Not kept. Look at: Minutes used")
    page.get_by_role("button", name="Leave it").tap()
    all_up(page)
    assert stands()["minutes"] is None


def test_what_waits_survives_a_reload_and_an_answer_that_was_lost_on_the_way(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    page = sit().page
    arrived: list[str] = []

    def lose(route: Any) -> None:
        """The site keeps it, and the answer is lost."""
        route.fetch()
        arrived.append(route.request.url)
        route.abort()

    page.route("**/touches/", lose, times=1)
    level(page, "A2-crown", 3)
    waits(page, "1 touch waits on this device and goes up by itself.")
    assert stands()["touches"] == 1
    page.route("**/touches/", lambda route: route.abort())
    # Pressed anew meanwhile: no question, the level that stands is this device's own.
    level(page, "A2-crown", 2)
    page.unroute("**/touches/")
    page.reload()
    assert page.locator("#crit-A2-crown input:checked").get_attribute("value") == "2"
    all_up(page)
    assert arrived
    assert stands()["levels"] == {"A2-crown": 2}
    assert stands()["touches"] == 2


@pytest.mark.parametrize(("button", "end"), [("Keep mine: 4", 4), ("Keep that: 1", 1)])
def test_an_older_level_is_compared_with_the_newer_one_of_a_second_device(
    sit: Callable[..., Visitor],
    stands: Callable[..., dict[str, Any]],
    site: Site,
    head: str,
    button: str,
    end: int,
) -> None:
    visitor = sit()
    page = visitor.page
    visitor.context.set_offline(True)
    level(page, "A2-crown", 4)
    site.behind("level_elsewhere", head=head, place="A2-crown", level=1)
    site.behind("level_elsewhere", head=head, place="A2-nape", level=2)
    visitor.context.set_offline(False)
    waits(page, "Changed on another page or device.")
    page.locator("#touches a").tap()
    choice = page.locator("#crit-A2-crown .two-answers")
    expect(choice).to_contain_text("It stands: 1, weak. Pressed here: 4, sure.")
    # What was given there and not touched here is simply shown.
    assert page.locator("#crit-A2-nape input:checked").get_attribute("value") == "2"
    assert stands()["levels"] == {"A2-crown": 1, "A2-nape": 2}
    choice.get_by_role("button", name=button).tap()
    all_up(page)
    assert stands()["levels"]["A2-crown"] == end
    assert page.locator("#crit-A2-crown input:checked").get_attribute("value") == str(end)


def test_somebody_signed_out_keeps_what_waits_until_the_same_person_is_back(
    sit: Callable[..., Visitor],
    stands: Callable[..., dict[str, Any]],
    told: dict[str, Any],
    head: str,
) -> None:
    visitor = sit()
    page = visitor.page
    visitor.context.clear_cookies()
    level(page, "A2-crown", 3)
    waits(page, "You were signed out. 1 touch waits on this device")
    # Somebody else at the same tablet neither sees nor sends it.
    visitor.sign_in(told["people"]["educator"], told["password"])
    page.wait_for_timeout(300)
    assert stands()["touches"] == 0
    refused = [line for line in visitor.trouble if "403" in line]
    assert refused
    visitor.trouble[:] = [line for line in visitor.trouble if line not in refused]
    visitor.context.clear_cookies()
    visitor.sign_in(told["people"]["assessor"], told["password"])
    visitor.go(f"/{SLUG}/assessment/head/{head}/")
    all_up(page)
    assert stands()["levels"] == {"A2-crown": 3}


@pytest.mark.parametrize("path", ["/", "/assessment/bookings/day/"])
def test_what_a_closed_tablet_kept_is_told_and_goes_up_from_where_the_day_begins(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]], path: str
) -> None:
    visitor = sit()
    visitor.context.set_offline(True)
    level(visitor.page, "A2-crown", 3)
    level(visitor.page, "A3-crown", 1)
    visitor.page.close()

    page = visitor.page = visitor.context.new_page()
    page.route("**/touches/", lambda route: route.abort())
    visitor.context.set_offline(False)
    visitor.go(f"/{SLUG}{path}")
    waits(page, "2 touches wait on this device and go up by themselves.")
    visitor.look()
    assert stands()["touches"] == 0
    page.unroute("**/touches/")
    page.reload()
    all_up(page)
    assert stands()["levels"] == {"A2-crown": 3, "A3-crown": 1}


def test_where_the_day_begins_nobody_sees_or_sends_what_another_person_left_on_the_tablet(
    sit: Callable[..., Visitor],
    stands: Callable[..., dict[str, Any]],
    told: dict[str, Any],
) -> None:
    visitor = sit()
    visitor.context.set_offline(True)
    level(visitor.page, "A2-crown", 3)
    visitor.page.close()
    visitor.page = page = visitor.context.new_page()
    visitor.context.set_offline(False)
    visitor.context.clear_cookies()
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    visitor.sign_in(told["people"]["educator"], told["password"])
    visitor.go(f"/{SLUG}/assessment/bookings/day/")
    page.wait_for_timeout(500)
    expect(page.locator("#touches")).to_be_hidden()
    assert page.locator("#touches").text_content() == ""
    assert not [url for url in sent if "/touches/" in url]
    assert stands()["touches"] == 0
    visitor.context.clear_cookies()
    visitor.sign_in(told["people"]["assessor"], told["password"])
    all_up(page)
    assert stands()["levels"] == {"A2-crown": 3}


def test_a_question_about_a_head_leads_there_from_where_the_day_begins(
    sit: Callable[..., Visitor], site: Site, head: str
) -> None:
    visitor = sit()
    visitor.context.set_offline(True)
    level(visitor.page, "A2-crown", 4)
    visitor.page.close()
    site.behind("level_elsewhere", head=head, place="A2-crown", level=1)
    visitor.page = page = visitor.context.new_page()
    visitor.context.set_offline(False)
    visitor.go(f"/{SLUG}/")
    waits(page, "Changed on another page or device.")
    page.locator("#touches a").tap()
    expect(page.locator("#crit-A2-crown .two-answers")).to_contain_text("Pressed here: 4, sure.")


def test_a_browser_that_keeps_nothing_still_sends_what_was_pressed(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    visitor = sit()
    page = visitor.page
    page.evaluate(
        """() => {
          for (const name of ["setItem", "getItem", "removeItem"])
            Storage.prototype[name] = () => { throw new DOMException("no", "SecurityError"); };
        }"""
    )
    visitor.context.set_offline(True)
    level(page, "A2-crown", 3)
    level(page, "A3-crown", 2)
    waits(page, "2 touches wait")
    visitor.context.set_offline(False)
    expect(page.locator("#touches")).to_be_hidden()
    assert stands()["levels"] == {"A2-crown": 3, "A3-crown": 2}


def test_where_no_script_comes_the_forms_have_their_buttons(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]]
) -> None:
    visitor = sit(script=False)
    page = visitor.page
    page.locator("#crit-A2-crown .levels label").nth(3).click()
    page.locator("#crit-A3-crown .levels label").nth(2).click()
    page.locator("#levels").get_by_role("button", name="Keep these levels").click()
    page.wait_for_load_state()
    assert stands()["levels"] == {"A2-crown": 3, "A3-crown": 2}
    visitor.follow("Criterion by criterion")
    assert page.locator(".crit[data-zone=nape]:visible").count() == 1


def test_the_clock_counts_on_from_what_the_site_computed(sit: Callable[..., Visitor]) -> None:
    page = sit().page
    clock = page.locator("#clock")
    assert clock.get_attribute("aria-live") == "off"
    face = clock.locator("[data-face]")
    before = face.inner_text()
    expect(face).not_to_have_text(before)
    assert "of 30 minutes" in clock.inner_text()
    # Thirty-one minutes, then more than 20 % over.
    for seconds, words in ((31 * 60, "over the time"), (37 * 60, "more than 20 % over")):
        page.evaluate(
            """(seconds) => {
              const old = document.getElementById("clock");
              const clone = old.cloneNode(true);
              clone.dataset.seconds = seconds;
              old.replaceWith(clone);
            }""",
            seconds,
        )
        expect(clock).to_contain_text(words)


def test_journey_8_a_head_is_scored_on_the_sheet_and_submitted_with_its_reasons(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]], head: str
) -> None:
    visitor = sit()
    page = visitor.page
    level(page, "A2-crown", 3)
    level(page, "A3-crown", 4)
    for _ in range(2):
        page.locator("#mark").tap()
        page.locator("#fault").wait_for()
        page.locator("#id_fault_fault").select_option("gap")
        page.locator("#id_fault_zone").select_option("crown")
        page.get_by_role("button", name="Mark in the middle of the zone").tap()
        page.locator("#in-hand-said", has_text="marked.").wait_for()
        page.locator("#leave").tap()
        page.locator("#mark").wait_for()
    all_up(page)
    # The tablet is closed, and opened again.
    page.close()
    visitor.page = page = visitor.context.new_page()
    visitor.go(f"/{SLUG}/assessment/head/{head}/")
    assert page.locator(".fault-row").count() == 2
    assert missing(page) == "Still missing: 4 nape 2 · whole head 1 · overall rating 1"
    level(page, "A2-nape", 3)
    level(page, "A3-nape", 3)
    level(page, "A1-", 3)
    assert "of 100" not in page.locator("#main").inner_text()
    rate(page, 4)
    page.locator("#to-feedback").tap()
    page.wait_for_url("**/feedback/")
    # Submitting waits for what is still on this device.
    assert stands()["overall"] == 4
    write_boxes(page, zone="crown", criterion="A2", level=3)
    page.get_by_role("button", name="Submit the head").tap()
    page.wait_for_url("**/results/**")
    assert stands()["state"] == "submitted"
    visitor.reads("Submitted. The sheet stands as it is now.")
    assert page.get_by_text("competent").first.is_visible()
    assert page.locator(".reasons li").count() >= 1


def test_journey_9_a_missing_zone_is_named_and_then_accepted(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]], head: str
) -> None:
    visitor = sit()
    page = visitor.page
    for place in ("A2-crown", "A3-crown", "A1-"):
        level(page, place, 3)
    rate(page, 4)
    page.locator(".zone", has_text="Nape").tap()
    level(page, "A2-nape", 3)
    all_up(page)
    assert missing(page) == "Still missing: 1 nape 1"
    visitor.go(f"/{SLUG}/assessment/head/{head}/feedback/")
    visitor.reads("Still missing on the head")
    assert "nape 1" in page.locator(".note").inner_text()
    assert page.get_by_role("button", name="Submit the head").is_disabled()
    visitor.follow("Back to the head")
    page.locator("#step-next").tap()
    # It leads to the criterion itself.
    assert in_hand(page) == "A3-nape"
    level(page, "A3-nape", 3)
    assert missing(page).startswith("Nothing is missing")
    page.locator("#to-feedback").tap()
    page.wait_for_url("**/feedback/")
    assert page.get_by_role("button", name="Submit the head").is_enabled()


def test_submitting_is_refused_while_touches_wait_and_names_them(
    sit: Callable[..., Visitor], stands: Callable[..., dict[str, Any]], site: Site, head: str
) -> None:
    visitor = sit()
    page = visitor.page
    for place in ("A2-crown", "A3-crown", "A2-nape", "A3-nape"):
        level(page, place, 3)
    level(page, "A1-", 3)
    rate(page, 4)
    all_up(page)
    visitor.go(f"/{SLUG}/assessment/head/{head}/feedback/")
    # Pressed on another page of this device, which is cut off from the site.
    other = visitor.context.new_page()
    other.route("**/touches/", lambda route: route.abort())
    other.goto(f"{visitor.home}/{SLUG}/assessment/head/{head}/?zone=nape")
    level(other, "A3-nape", 1)
    page.route("**/touches/", lambda route: route.abort())
    page.get_by_role("button", name="Submit the head").tap()
    waits(page, "what waits on this device must go up first")
    waits(page, "nape, evenness 3: 1")
    assert stands()["state"] == "draft"
    page.unroute("**/touches/")
    with page.expect_navigation():
        page.get_by_role("button", name="Submit the head").tap()
    assert stands()["levels"]["A3-nape"] == 1


@pytest.mark.parametrize(("width", "height"), [(1024, 768), (820, 1180)])
def test_head_and_criterion_in_hand_and_what_is_missing_stand_on_one_screen_of_a_tablet(
    sit: Callable[..., Visitor], width: int, height: int
) -> None:
    page = sit().page
    page.set_viewport_size({"width": width, "height": height})
    page.evaluate("scrollTo(0, 0)")
    bar = page.locator("#score-bar").bounding_box()
    assert bar
    for one in ("#head-box", ".crit.in-hand .levels", ".zone[aria-current]"):
        box = page.locator(one).bounding_box()
        assert box
        assert box["y"] >= 0, one
        assert box["y"] + box["height"] <= bar["y"] + 1, one
    assert page.evaluate(SIDEWAYS) == ""


@pytest.mark.parametrize("device", ["tablet", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_judge_finds_no_fault_and_gloves_find_every_level(
    sit: Callable[..., Visitor], site: Site, head: str, device: str, scheme: str
) -> None:
    visitor = sit(device)
    cookie = {"name": "theme", "value": scheme, "url": visitor.home}
    visitor.context.add_cookies([cookie])  # type: ignore[list-item]
    page = visitor.page
    page.reload()
    visitor.context.set_offline(True)
    level(page, "A2-crown", 4)
    site.behind("level_elsewhere", head=head, place="A2-crown", level=1)
    visitor.context.set_offline(False)
    page.locator("#touches a").tap()
    page.locator(".two-answers").wait_for()
    for one in page.locator(".levels label:visible, .two-answers .btn, .zone[href]").all():
        box = one.bounding_box()
        assert box
        assert box["height"] >= 56, one.inner_text()
    assert page.evaluate(SIDEWAYS) == ""
    visitor.look()
    page.get_by_role("link", name="Stop for safety").tap()
    page.wait_for_url("**/stop/**")
    choices = page.locator("#stop .form-check:visible, #stop .btn")
    assert choices.count() > 10
    for one in choices.all():
        box = one.bounding_box()
        assert box
        assert box["height"] >= 56, one.inner_text()


def a_photo() -> FilePayload:
    """A picture as a camera makes one, larger than what is kept."""
    file = io.BytesIO()
    Image.effect_noise((2400, 1800), 40).save(file, "JPEG")
    return {"name": "nape.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}


def test_a_photo_without_its_reason_stays_chosen_and_goes_up_with_it(
    sit: Callable[..., Visitor],
) -> None:
    visitor = sit()
    page = visitor.page
    photos = page.locator("#photos")
    photos.get_by_label("Photo").set_input_files(a_photo())
    photos.get_by_role("button").last.tap()
    expect(photos.get_by_role("alert")).to_contain_text("crop it out, or record consent first")
    chosen = page.evaluate("document.querySelector('#photos [name=photo]').files[0]?.name")
    assert chosen == "nape.jpg"
    photos.get_by_label("no face").check()
    photos.get_by_role("button").last.tap()
    expect(photos.locator(".photo-row li")).to_have_count(1)
    assert not photos.get_by_role("alert").is_visible()
    # The browser's own word for the refused form.
    visitor.trouble[:] = [line for line in visitor.trouble if "422" not in line]


def test_a_photo_waits_for_the_signal_and_goes_up_once(sit: Callable[..., Visitor]) -> None:
    page = sit().page
    photos = page.locator("#photos")
    page.context.set_offline(True)
    photos.get_by_label("Photo").set_input_files(a_photo())
    photos.get_by_label("no face").check()
    photos.get_by_role("button").last.tap()
    expect(photos).to_contain_text("One photo waits on this device")
    page.context.set_offline(False)
    expect(photos.locator(".photo-row li")).to_have_count(1)
    page.reload()
    expect(page.locator("#photos .photo-row li")).to_have_count(1)
