"""The educator's forms: what is wrong stands beside its field, what was typed stays."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from academy.audit.models import Entry
from academy.curriculum.content import SheetKind
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.rows import content_of
from academy.curriculum.services import publish_version

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

Data = dict[str, object]


@pytest.fixture
def client(educator: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(educator)


@pytest.fixture
def url(draft: ModuleVersion, base: str) -> Callable[[str], str]:
    return lambda part: f"{base}draft/{draft.token}/{part}/"


def sent(page: bytes) -> Data:
    """What the form of a page would send as it stands."""
    text = page.decode()
    form = text[text.index('id="part"') : text.index("</form>", text.index('id="part"'))]
    data: Data = {}
    for tag in re.findall(r"<input[^>]*>", form):
        found = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        name, value = found.get("name", ""), html.unescape(found.get("value", ""))
        if found.get("type") == "checkbox":
            if " checked" in tag:
                data.setdefault(name, [])
                assert isinstance(data[name], list)
                data[name].append(value or "on")  # type: ignore[attr-defined]
        elif name:
            data[name] = value
    for name, inner in re.findall(
        r'<textarea[^>]*name="([^"]*)"[^>]*>(.*?)</textarea>', form, re.DOTALL
    ):
        data[name] = html.unescape(inner.removeprefix("\n"))
    for name, inner in re.findall(
        r'<select[^>]*name="([^"]*)"[^>]*>(.*?)</select>', form, re.DOTALL
    ):
        chosen = re.search(r'<option value="([^"]*)" selected', inner)
        data[name] = html.unescape(chosen[1]) if chosen else ""
    return data


def stored(draft: ModuleVersion) -> ModuleVersion:
    return ModuleVersion.objects.with_parts().get(pk=draft.pk)


@pytest.mark.parametrize("part", ["basics", "steps", "criteria", "faults", "targets", "sheets"])
def test_a_part_sent_as_it_stands_changes_nothing(
    part: str, client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    before = content_of(stored(draft))
    answer = client.post(url(part), sent(client.get(url(part)).content))
    assert answer.status_code == 302, answer.content.decode()
    assert content_of(stored(draft)) == before


def test_a_step_is_added_and_kept(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    data = sent(client.get(url("steps")).content)
    page = client.post(url("steps"), {**data, "do": "add"})
    data = sent(page.content)
    assert data["rows"] == "3"
    assert len(content_of(stored(draft)).steps) == 2
    client.post(url("steps"), {**data, "steps-2-head": "Foil", "steps-2-text": "Place it."})
    assert content_of(stored(draft)).steps[2].head == "Foil"


def test_rows_are_moved_and_taken_out_without_losing_what_was_typed(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    data = {**sent(client.get(url("steps")).content), "steps-1-text": "Typed, not saved."}
    data = sent(client.post(url("steps"), {**data, "do": "up-1"}).content)
    assert (data["steps-0-head"], data["steps-0-text"]) == ("Part", "Typed, not saved.")
    data = sent(client.post(url("steps"), {**data, "do": "out-1"}).content)
    assert data["rows"] == "1"
    assert len(content_of(stored(draft)).steps) == 2
    client.post(url("steps"), data)
    assert [step.head for step in content_of(stored(draft)).steps] == ["Part"]


@pytest.mark.parametrize("do", ["up-0", "down-1", "out-9", "up-999", "sideways-1", ""])
def test_a_press_that_means_nothing_loses_nothing(
    do: str, client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    before = content_of(stored(draft))
    data = sent(client.get(url("steps")).content)
    assert client.post(url("steps"), {**data, "do": do}).status_code in {200, 302}
    assert content_of(stored(draft)) == before


def test_an_empty_row_is_dropped(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    data = sent(client.get(url("faults")).content)
    data = sent(client.post(url("faults"), {**data, "do": "add"}).content)
    assert client.post(url("faults"), data).status_code == 302
    assert len(content_of(stored(draft)).faults) == 1


WRONG: list[tuple[str, str, object, str]] = [
    ("basics", "title", "x" * 121, "Too long: 121 characters, and 120 fit."),
    ("basics", "purpose", "x" * 601, "Too long: 601 characters"),
    ("basics", "time_minutes", "", "No figure yet."),
    ("basics", "time_minutes", "half an hour", "This is not a figure."),
    ("basics", "time_minutes", "30 mm", "min"),
    ("basics", "time_minutes", "-5", "Too low."),
    ("basics", "time_minutes", "7.25", "Too fine: at most 1 decimals here"),
    ("basics", "time_minutes", "1,5,2", "Two marks in one figure."),
    ("basics", "heads_required", "-2", "Too low."),
    ("basics", "heads_required", "11", "Too high."),
    ("basics", "heads_required", "two", "Give a whole number"),
    ("basics", "months_valid", "", "This is needed."),
    ("basics", "judged_zones", ["forehead"], "not on the list"),
    ("basics", "needs", ["slices"], "not on the list"),
    ("basics", "needs", ["nothing"], "not on the list"),
    ("basics", "families", ["tea-making"], "not on the list"),
    ("basics", "cautions", ["K99"], "not on the list"),
    ("basics", "time_per", "century", "not on the list"),
    ("steps", "steps-0-head", "", "This is needed."),
    ("steps", "steps-0-head", "x" * 121, "Too long: 121 characters"),
    ("steps", "steps-1-text", "x" * 601, "Too long: 601 characters"),
    ("faults", "faults-0-cause", "x" * 241, "Too long: 241 characters"),
    ("criteria", "criteria-0-code", "", "This is needed."),
    ("criteria", "criteria-0-code", "TOOLONG99", "Too long: 9 characters"),
    ("criteria", "criteria-0-code", "S2", "“S2” stands here 2 times."),
    ("criteria", "criteria-0-weight", "0", "Too low."),
    ("criteria", "criteria-0-weight", "1,5", "Give a whole number"),
    ("criteria", "criteria-0-scope", "forehead", "not on the list"),
    ("criteria", "criteria-0-must_pass", "on", "A must-pass needs its reason"),
    ("criteria", "criteria-0-must_pass_reason", "Skin.", "Tick it, or empty it."),
    ("criteria", "criteria-0-level_3", "x" * 241, "Too long: 241 characters"),
    ("targets", "targets-0-count", "-1", "Too low."),
    ("targets", "targets-0-count", "0", "Too low."),
    ("targets", "targets-0-count", "99999", "Too high."),
    ("targets", "targets-0-unit", "cups", "not on the list"),
    ("targets", "targets-0-tag", "x" * 41, "Too long: 41 characters"),
    ("sheets", "sheets-0-zone", "forehead", "not on the list"),
    ("sheets", "sheets-0-pattern", "zigzag", "not on the list"),
    ("sheets", "sheets-0-depth_mm", "2", "Too low. The least that is taken here is 3 mm."),
    ("sheets", "sheets-0-depth_mm", "6 cm", "mm"),
    ("sheets", "sheets-0-left_mm", "-1", "Too low."),
    ("sheets", "sheets-0-foil_mm", "9999", "Too high."),
]


@pytest.mark.parametrize(("part", "field", "value", "sentence"), WRONG)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    part: str,
    field: str,
    value: object,
    sentence: str,
    client: Client,
    url: Callable[[str], str],
    draft: ModuleVersion,
) -> None:
    before = content_of(stored(draft))
    data = sent(client.get(url(part)).content)
    other = next(name for name in data if name.endswith(("head", "title", "fault", "tag", "note")))
    other = other if other != field else "nothing-else"
    page = client.post(url(part), {**data, other: "Typed", field: value})
    text = html.unescape(page.content.decode())
    assert page.status_code == 200
    assert sentence in text
    assert 'role="alert"' in text
    assert other == "nothing-else" or sent(page.content)[other] == "Typed"
    assert content_of(stored(draft)) == before


@pytest.mark.parametrize("typed", ["6,5", "6.5", "6,5 mm", " 6.5mm "])
def test_sizes_are_read_as_people_write_them(
    typed: str, client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    data = sent(client.get(url("sheets")).content)
    client.post(url("sheets"), {**data, "sheets-0-depth_mm": typed})
    assert str(content_of(stored(draft)).sheets[0].depth_mm) == "6.5"


def test_a_zones_sheet_takes_the_place_of_a_pattern(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    names = ("pattern", "zone", "depth_mm", "left_mm", "foil_mm")
    data = {
        **sent(client.get(url("sheets")).content),
        "sheets-0-kind": "zones",
        **{f"sheets-0-{name}": "" for name in names},
    }
    client.post(url("sheets"), data)
    assert content_of(stored(draft)).sheets[0].kind is SheetKind.ZONES


def test_a_stale_page_is_refused_and_nothing_of_either_is_lost(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    first = sent(client.get(url("steps")).content)
    second = dict(first)
    client.post(url("steps"), {**first, "steps-0-text": "From the first window."})
    page = client.post(url("steps"), {**second, "steps-0-text": "From the second window."})
    text = html.unescape(page.content.decode())
    assert "saved from another window" in text
    assert "was “From the second window.”, now “From the first window.”" in text
    assert sent(page.content)["steps-0-text"] == "From the second window."
    assert content_of(stored(draft)).steps[0].text == "From the first window."
    client.post(url("steps"), sent(page.content))
    assert content_of(stored(draft)).steps[0].text == "From the second window."


def test_moving_rows_does_not_hide_that_the_page_is_stale(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    mine = sent(client.get(url("steps")).content)
    client.post(url("steps"), {**mine, "steps-0-text": "From elsewhere."})
    moved = client.post(url("steps"), {**mine, "do": "down-0"})
    page = client.post(url("steps"), sent(moved.content))
    assert "saved from another window" in page.content.decode()
    assert content_of(stored(draft)).steps[0].text == "From elsewhere."


def test_a_page_of_a_draft_published_meanwhile_keeps_what_was_typed(
    client: Client, url: Callable[[str], str], draft: ModuleVersion, educator: Person
) -> None:
    data = sent(client.get(url("steps")).content)
    client.post(url("basics"), {**sent(client.get(url("basics")).content), "title": "Thin"})
    publish_version(version=draft, by=educator)
    page = client.post(url("steps"), {**data, "steps-0-text": "Too late."})
    assert "was published meanwhile" in page.content.decode()
    assert sent(page.content)["steps-0-text"] == "Too late."
    assert client.get(url("steps")).status_code == 302


def test_a_part_that_does_not_exist_is_not_found(client: Client, url: Callable[[str], str]) -> None:
    assert client.get(url("colours")).status_code == 404


def test_what_keeps_a_draft_back_stands_beside_every_part(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    client.post(url("steps"), {"seen": sent(client.get(url("steps")).content)["seen"], "rows": "0"})
    page = client.get(url("faults")).content.decode()
    assert "There is no step. Write at least one." in page
    publish = client.get(url("publish")).content.decode()
    assert "Publish: 1 thing missing" in publish
    assert "disabled" in publish


def test_a_draft_is_published_from_its_page_once(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    client.post(url("basics"), {**sent(client.get(url("basics")).content), "title": "Thin"})
    page = client.get(url("publish")).content.decode()
    seen = re.search(r'name="seen" value="([^"]*)"', page)
    assert "Title: was “Slices”, now “Thin”." in page
    assert seen
    assert client.post(url("publish"), {"seen": seen[1]}).status_code == 302
    assert client.post(url("publish"), {"seen": seen[1]}).status_code == 404
    assert stored(draft).state == "published"
    published = Entry.objects.filter(action="curriculum.version.published", subject_id=draft.pk)
    assert published.count() == 1


def test_a_draft_written_to_after_the_publish_page_was_read_is_refused(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    seen = re.search(r'name="seen" value="([^"]*)"', client.get(url("publish")).content.decode())
    assert seen
    client.post(url("basics"), {**sent(client.get(url("basics")).content), "title": "Thin"})
    page = client.post(url("publish"), {"seen": seen[1]})
    assert "changed after you opened this page" in page.content.decode()
    assert stored(draft).state == "draft"


def test_a_draft_is_thrown_away_from_its_page(
    client: Client, url: Callable[[str], str], draft: ModuleVersion
) -> None:
    assert client.post(url("discard")).status_code == 302
    assert not ModuleVersion.objects.filter(pk=draft.pk).exists()


def test_a_module_is_started_from_its_page(client: Client, base: str, academy: Academy) -> None:
    answer = client.post(f"{base}new/", {"title": "Glaze", "key": "glaze"})
    draft = ModuleVersion.objects.get(module__key="glaze")
    assert answer["Location"] == f"{base}draft/{draft.token}/basics/"
    assert draft.title == "Glaze"


@pytest.mark.parametrize(
    ("title", "key", "sentence"),
    [
        ("", "glaze", "This is needed."),
        ("Glaze", "", "This is needed."),
        ("Glaze", "Gla ze", "small letters"),
        ("Glaze", "x" * 41, "Too long: 41 characters"),
        ("x" * 121, "glaze", "Too long: 121 characters"),
        ("Slices", "slices", "There is a module slices already."),
    ],
)
def test_a_module_that_cannot_be_started_keeps_what_was_typed(
    title: str, key: str, sentence: str, client: Client, base: str, slices: ModuleVersion
) -> None:
    before = Module.objects.count()
    page = client.post(f"{base}new/", {"title": title, "key": key})
    assert page.status_code == 200
    assert sentence in page.content.decode()
    assert f'value="{key}"' in page.content.decode() or not key
    assert Module.objects.count() == before


def test_a_second_draft_from_a_second_window_leads_nowhere_else(
    client: Client, base: str, draft: ModuleVersion
) -> None:
    answer = client.post(f"{base}{draft.module.token}/draft/", follow=True)
    assert "has a draft already" in answer.content.decode()
    assert draft.module.versions.filter(state="draft").count() == 1
