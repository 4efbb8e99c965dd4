"""Who reaches which page, and what it costs: access, reading only, query counts, weight."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver, reverse
from django.utils.html import escape

from academy.audit.models import Entry
from academy.craft.exercise.engine import families
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.services import (
    enter_label,
    load_modules,
    make_rule_set,
    publish_version,
    start_draft,
    write_draft,
)
from academy.people.models import Academy, Person, Role
from tests.site.curriculum.conftest import make_content

READ = {"apprentice": 200, "assessor": 200, "educator": 200, "verifier": 200, "manager": 200}
WRITE = {"apprentice": 403, "assessor": 403, "educator": 200, "verifier": 403, "manager": 403}
POST_ONLY = {
    **WRITE,
    "educator": 405,
    "apprentice": 405,
    "assessor": 405,
    "verifier": 405,
    "manager": 405,
}
PAGES: dict[str, dict[str, int]] = {
    "module-list": READ,
    "module-detail": READ,
    "version-detail": READ,
    "version-difference": READ,
    "award-list": READ,
    "rule-list": READ,
    "label-list": READ,
    "mixture": READ,
    "planner": READ,
    "planner-print": READ,
    "planner-save": POST_ONLY,
    "module-start": WRITE,
    "draft-start": POST_ONLY,
    "draft-edit": WRITE,
    "draft-preview": WRITE,
    "draft-publish": WRITE,
    "draft-discard": WRITE,
    "version-retire": WRITE,
    "rule-change": WRITE,
    "label-new": WRITE,
    "label-edit": WRITE,
}
MOST_BYTES = 15 * 1024
MOST_BYTES_DENSE = 17 * 1024  # partings 3 mm apart, on sheets that a page does not open with


@pytest.fixture
def urls(academy: Academy, draft: ModuleVersion, slices: ModuleVersion) -> dict[str, str]:
    """The address of every page, with rows of the academy in it."""
    label = enter_label(academy=academy, by=None, name="Cream", fields={"kind": "permanent"})
    tokens = {
        "module-detail": slices.module.token,
        "version-difference": slices.module.token,
        "draft-start": slices.module.token,
        "version-detail": slices.token,
        "version-retire": slices.token,
        "label-edit": label.token,
        "draft-preview": draft.token,
        "draft-publish": draft.token,
        "draft-discard": draft.token,
        "draft-edit": draft.token,
    }
    more = {"draft-edit": {"part": "steps"}, "rule-change": {"group": "start_lead"}}
    found = {}
    for name in PAGES:
        kwargs = {"academy": academy.slug, **more.get(name, {})}
        if name in tokens:
            kwargs["token"] = tokens[name]
        found[name] = reverse(f"curriculum:{name}", kwargs=kwargs)
    found["version-difference"] += "?old=1&new=1"
    return found


def test_every_url_of_the_curriculum_has_its_row_here() -> None:
    _, resolver = get_resolver().namespace_dict["curriculum"]
    assert {getattr(pattern, "name", None) for pattern in resolver.url_patterns} == set(PAGES)


@pytest.mark.parametrize("role", list(Role))
def test_each_role_reaches_what_it_may(
    role: Role,
    urls: dict[str, str],
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    client = signed_in(make_member(role))
    got = {name: client.get(url).status_code for name, url in urls.items()}
    assert got == {name: expected[role.value] for name, expected in PAGES.items()}


def test_a_stranger_is_sent_to_sign_in(urls: dict[str, str]) -> None:
    client = Client()
    for url in urls.values():
        answer = client.get(url)
        assert answer.status_code == 302, url
        assert "/account/" in answer["Location"]


def test_people_of_another_academy_are_told_nothing(
    urls: dict[str, str],
    other_academy: Academy,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    client = signed_in(make_member(Role.EDUCATOR, academy=other_academy))
    expected = {name: 405 if PAGES[name] is POST_ONLY else 404 for name in urls}
    assert {name: client.get(url).status_code for name, url in urls.items()} == expected


def test_rows_of_another_academy_are_not_found_under_the_own_address(
    urls: dict[str, str],
    academy: Academy,
    other_academy: Academy,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    client = signed_in(make_member(Role.EDUCATOR, academy=other_academy))
    with_rows = [name for name in urls if "detail" in name or name.startswith(("draft", "version"))]
    for name in [*with_rows, "label-edit"]:
        foreign = urls[name].replace(f"/{academy.slug}/", f"/{other_academy.slug}/")
        posted = client.post(foreign, {"do": "save"})
        assert posted.status_code in {404, 405}, name


def test_drafts_are_for_educators_only(
    draft: ModuleVersion, base: str, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(apprentice)
    page = client.get(f"{base}{draft.module.token}/").content.decode()
    assert draft.token not in page
    assert client.get(f"{base}version/{draft.token}/").status_code == 404
    assert client.get(f"{base}{draft.module.token}/difference/?old=1&new=2").status_code == 404


def test_apprentices_read_the_faults_but_not_their_causes(
    slices: ModuleVersion,
    base: str,
    apprentice: Person,
    assessor: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    url = f"{base}{slices.module.token}/"
    to_apprentice = signed_in(apprentice).get(url).content.decode()
    assert "Wedge" in to_apprentice
    assert "The comb was tipped" not in to_apprentice
    assert "The comb was tipped" in signed_in(assessor).get(url).content.decode()


def test_reading_writes_nothing(
    urls: dict[str, str], educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(educator)
    client.get(urls["module-list"])
    with CaptureQueriesContext(connection) as queries:
        for name, url in urls.items():
            if PAGES[name] is not POST_ONLY:
                assert client.get(url).status_code == 200, name
    # PostgreSQL reads the choices of a form through a cursor.
    reads = ("SELECT", "DECLARE")
    writing = [q["sql"] for q in queries if not q["sql"].lstrip("(").upper().startswith(reads)]
    assert [sql for sql in writing if "curriculum_" in sql or "audit_" in sql] == []


def test_the_list_takes_as_many_queries_for_forty_modules_as_for_one(
    academy: Academy, base: str, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(educator)
    load_modules(academy=academy, by=None, contents=[make_content("module-0")])
    client.get(base)
    with CaptureQueriesContext(connection) as one:
        client.get(base)
    more = [
        make_content(f"module-{n}", needs=(f"module-{n // 3}",) if n else ()) for n in range(40)
    ]
    load_modules(academy=academy, by=None, contents=more)
    with CaptureQueriesContext(connection) as forty:
        page = client.get(base)
    assert page.content.decode().count("row-link") == 40
    assert len(forty) == len(one)


def test_a_module_page_takes_the_same_queries_however_long_it_is(
    slices: ModuleVersion, base: str, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    client, url = signed_in(educator), f"{base}{slices.module.token}/"
    client.get(url)
    with CaptureQueriesContext(connection) as short:
        client.get(url)
    draft = start_draft(module=slices.module, by=educator)
    long = make_content()
    write_draft(
        version=draft,
        content=make_content(
            steps=tuple(
                type(step)(f"{step.head} {n}", step.text) for n in range(15) for step in long.steps
            ),
            needs=("quarters",),
        ),
        by=educator,
    )
    publish_version(version=draft, by=educator)
    with CaptureQueriesContext(connection) as longer:
        client.get(url)
    assert len(longer) == len(short)


def test_a_shipped_module_opens_with_at_most_fifteen_kilobytes(
    academy: Academy, base: str, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    call_command("load_curriculum", academy=academy.slug, verbosity=0)
    client = signed_in(apprentice)
    for module in Module.objects.all():
        count = module.versions.get().sheets.count()
        for sheet in range(1, count + 1):
            page = client.get(f"{base}{module.token}/", {"sheet": sheet}).content
            weight = len(gzip.compress(page, 6))
            most = MOST_BYTES if sheet == 1 else MOST_BYTES_DENSE
            assert weight <= most, f"{module.key}, sheet {sheet}: {weight} bytes"


@pytest.mark.parametrize("sheet", ["0", "9", "-1", "x", "", "１"])
def test_a_sheet_that_does_not_exist_shows_the_first_one(
    sheet: str,
    slices: ModuleVersion,
    base: str,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    page = signed_in(educator).get(f"{base}{slices.module.token}/", {"sheet": sheet})
    assert "One panel, occipital" in page.content.decode()


@pytest.mark.parametrize("query", ["", "?old=1", "?old=x&new=1", "?old=1&new=7", "?old=-1&new=1"])
def test_a_difference_of_versions_that_do_not_exist_is_not_found(
    query: str,
    slices: ModuleVersion,
    base: str,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    url = f"{base}{slices.module.token}/difference/{query}"
    assert signed_in(educator).get(url).status_code == 404


def test_an_empty_academy_says_what_to_do(
    academy: Academy, base: str, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(manager)
    assert "No module is published yet" in client.get(base).content.decode()
    assert "No award yet" in client.get(f"{base}awards/").content.decode()
    assert "No label entered yet" in client.get(f"{base}labels/").content.decode()
    assert "The standard rules hold" in client.get(f"{base}house-rules/").content.decode()


def test_the_graph_links_every_module_and_names_it(
    slices: ModuleVersion, base: str, apprentice: Person, signed_in: Callable[[Person], Client]
) -> None:
    page = signed_in(apprentice).get(base).content.decode()
    drawn = page[page.index('class="graph"') : page.index("</svg>", page.index('class="graph"'))]
    assert drawn.count("<a ") == 2
    assert drawn.count("<polyline") == 1
    assert 'aria-label="Slices"' in drawn


def test_nothing_on_the_pages_has_a_style_or_script_of_its_own() -> None:
    folder = Path(__file__).resolve().parents[3] / "templates" / "curriculum"
    for path in folder.rglob("*.html"):
        text = path.read_text("utf-8")
        assert "style=" not in text, path
        assert "<script>" not in text, path
        assert " on" + "click" not in text, path


def test_a_retired_version_stays_readable(
    draft: ModuleVersion,
    slices: ModuleVersion,
    base: str,
    educator: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    write_draft(version=draft, content=make_content(title="Thin", needs=("quarters",)), by=educator)
    publish_version(version=draft, by=educator)
    client = signed_in(apprentice)
    old = client.get(f"{base}version/{slices.token}/").content.decode()
    assert "This version is out of use." in old
    difference = client.get(f"{base}{slices.module.token}/difference/?old=1&new=2").content.decode()
    assert "Title: was “Slices”, now “Thin”." in difference


def test_house_rules_are_named_on_their_page(
    academy: Academy, base: str, verifier: Person, signed_in: Callable[[Person], Client]
) -> None:
    make_rule_set(academy=academy, by=None, changes={"start_lead": Decimal(15)}, note="A trial")
    page = signed_in(verifier).get(f"{base}house-rules/").content.decode()
    assert "House rules 1 hold" in page
    assert "was 10 points, now 15 points." in page
    assert "A trial" in page
    assert Entry.objects.latest("sequence").details == {
        "changed": ["start_lead"],
        "count": 1,
        "number": 1,
    }


def test_a_school_without_modules_says_so(
    educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    page = signed_in(educator).get(reverse("curriculum:module-list", args=["larkmere"]))
    assert "No module is taught here yet" in page.text


def test_exercise_families_lead_to_a_paper_for_who_may_set_one(
    academy: Academy,
    educator: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    content = make_content("bowls", families=("dilute-a-developer", "foil-plan"))
    load_modules(academy=academy, contents=[content], by=educator)
    version = ModuleVersion.objects.get(module__key="bowls")
    address = reverse("curriculum:module-detail", args=[academy.slug, version.module.token])
    page = signed_in(educator).get(address).text
    link = f"/{academy.slug}/exercises/new/?family=dilute-a-developer&amp;module={version.token}"
    assert f'href="{link}">Diluting a developer: set a paper</a>, ' in page
    assert "Diluting a developer, Foil plan" in signed_in(apprentice).get(address).text


def test_the_editor_offers_every_family(
    educator: Person, draft: ModuleVersion, signed_in: Callable[[Person], Client]
) -> None:
    address = reverse("curriculum:draft-edit", args=["larkmere", draft.token, "basics"])
    page = signed_in(educator).get(address).text
    for family in families():
        assert escape(family.title) in page
