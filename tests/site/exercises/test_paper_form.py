"""The form a paper is set with: rows without script, a look before it is set, bad input."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from academy.curriculum.content import StepContent
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import load_modules, make_rule_set
from academy.curriculum.services.labels import enter_label
from academy.exercises.models import Paper
from academy.exercises.seeds import read_seed, seed_words
from academy.web.tokens import new_token
from tests.site.factories import CohortFactory
from tests.site.world import module

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Cohort, Person

URL = "/larkmere/exercises/new/"


@pytest.fixture
def client(signed_in: Callable[[Person], Client], educator: Person) -> Client:
    return signed_in(educator)


@pytest.fixture
def filled(cohort: Cohort) -> dict[str, Any]:
    return {
        "cohort": cohort.token,
        "title": "Developer and bowl",
        "kind": "practice",
        "numbers": "same",
        "pass_share": "80",
        "seed": "5190-7734",
        "key": new_token(),
        "row": ["0"],
        "part-0-family": "dilute-a-developer",
        "part-0-level": "working",
        "part-0-count": "2",
        "part-0-label": "",
    }


def looked(client: Client, filled: dict[str, Any]) -> dict[str, Any]:
    page = client.post(URL, {**filled, "act": "look"}).text
    found = re.search(r'name="looked_at" value="([0-9a-f]{64})"', page)
    assert found, "the page shows no preview"
    return {**filled, "looked_at": found[1], "act": "set"}


def test_the_form_comes_with_a_seed_and_one_part(client: Client) -> None:
    page = client.get(URL).text
    assert re.search(r'name="seed" value="\d{4}-\d{4}"', page)
    assert page.count('name="row"') == 1


def test_a_paper_passes_where_the_house_rule_says(
    client: Client, academy: Academy, educator: Person
) -> None:
    make_rule_set(academy=academy, by=educator, changes={"paper_pass_share": Decimal(72)})
    assert re.search(r'name="pass_share" value="72"', client.get(URL).text)


def test_rows_are_added_and_taken_out_without_losing_what_was_typed(
    client: Client, filled: dict[str, Any]
) -> None:
    page = client.post(URL, {**filled, "act": "add"}).text
    assert page.count('name="row"') == 2
    assert 'value="Developer and bowl"' in page
    two = {**filled, "row": ["0", "1"], "part-1-family": "cover-white-hair"}
    two |= {"part-1-level": "exam", "part-1-count": "3"}
    page = client.post(URL, {**two, "act": "remove-0"}).text
    assert re.findall(r'name="row" value="(\d+)"', page) == ["1"]
    assert 'value="exam" selected' in page
    assert not Paper.objects.exists()


def test_other_numbers_give_another_seed(client: Client, filled: dict[str, Any]) -> None:
    page = client.post(URL, {**filled, "act": "reseed"}).text
    assert 'name="seed" value="5190-7734"' not in page


def test_looking_shows_the_key_and_sets_nothing(client: Client, filled: dict[str, Any]) -> None:
    page = client.post(URL, {**filled, "act": "look"}).text
    assert "Slips that are told apart" in page
    assert not Paper.objects.exists()


def test_what_is_set_is_what_was_looked_at(client: Client, filled: dict[str, Any]) -> None:
    seen = client.post(URL, {**filled, "act": "look"}).text
    client.post(URL, looked(client, filled))
    for row in Paper.objects.get().questions.all():
        assert row.question.text in seen


def test_a_first_look_is_needed(client: Client, filled: dict[str, Any]) -> None:
    page = client.post(URL, {**filled, "act": "set"})
    assert "Slips that are told apart" in page.text
    assert not Paper.objects.exists()


def test_a_paper_changed_after_the_look_is_shown_again(
    client: Client, filled: dict[str, Any]
) -> None:
    changed = {**looked(client, filled), "seed": "0000-0001"}
    page = client.post(URL, changed)
    assert "You changed the paper after you looked at it." in page.text
    assert not Paper.objects.exists()


def test_a_double_press_sets_one_paper(client: Client, filled: dict[str, Any]) -> None:
    ready = looked(client, filled)
    first, second = (client.post(URL, ready) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert Paper.objects.count() == 1


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"cohort": ""}, "Nothing chosen yet. Choose one."),
        ({"cohort": "x" * 22}, "This is not on the list any more. Choose again."),
        ({"title": ""}, "Nothing here yet. This is needed."),
        ({"title": "x" * 121}, "Too long: 121 characters, and 120 fit."),
        ({"due_on": "2020-01-01"}, "This day is over. Choose today or a later day."),
        ({"due_on": "soon"}, "This is not a day. Write it like 25 Nov 2026."),
        ({"pass_share": "0"}, "Too low. The least that is taken here is 1 %."),
        ({"pass_share": "101"}, "Too high. The most that is taken here is 100 %."),
        ({"pass_share": "80 g"}, "This is a strength or a share. Give per cent"),
        ({"seed": "abc"}, "A seed is made of digits"),
        ({"seed": "9" * 25}, "A seed is made of digits"),
        ({"part-0-count": "0"}, "Too low. The least that is taken here is 1."),
        ({"part-0-count": "-3"}, "Too low. The least that is taken here is 1."),
        ({"part-0-count": "41"}, "Too high. The most that is taken here is 40."),
        ({"part-0-count": "two"}, "Give a whole number"),
        ({"part-0-family": "nothing"}, "This is not on the list any more."),
        ({"part-0-level": "9"}, "This is not on the list any more."),
        ({"row": []}, "A paper needs at least one part. Add one."),
        ({"row": ["x", "-1", "²"]}, "A paper needs at least one part. Add one."),
        ({"kind": "exam"}, "This is not on the list any more."),
    ],
)
def test_bad_input_gets_a_sentence_and_what_was_typed_stays(
    wrong: dict[str, Any], sentence: str, client: Client, filled: dict[str, Any]
) -> None:
    page = client.post(URL, {**filled, **wrong, "act": "look"})
    assert page.status_code == 200
    assert sentence in page.text
    assert 'role="alert"' in page.text
    for name, text in wrong.items():
        if name in {"title", "seed", "pass_share", "part-0-count"} and text:
            assert f'value="{text}"' in page.text
    assert not Paper.objects.exists()


def test_another_academys_cohort_and_label_are_not_on_the_list(
    client: Client, filled: dict[str, Any], other_academy: Academy
) -> None:
    theirs = CohortFactory(academy=other_academy)
    page = client.post(URL, {**filled, "cohort": theirs.token, "act": "look"}).text
    assert "This is not on the list any more." in page
    page = client.post(URL, {**filled, "part-0-label": "x" * 22, "act": "look"}).text
    assert "This is not on the list any more." in page


def test_a_label_is_for_level_exam_only(
    client: Client, filled: dict[str, Any], academy: Academy, educator: Person
) -> None:
    label = enter_label(
        academy=academy,
        by=educator,
        name="Cream B",
        fields={"kind": "permanent", "ratios": ["1.5"]},
    )
    page = client.post(URL, {**filled, "part-0-label": label.token, "act": "look"}).text
    assert "that is asked at level exam only" in page


@pytest.mark.parametrize(
    ("text", "seed"), [("5190-7734", 51907734), ("0000-0007", 7), ("5190 7734", 51907734)]
)
def test_seeds_are_read_as_they_are_shown(text: str, seed: int) -> None:
    assert read_seed(text) == seed
    assert read_seed(seed_words(seed)) == seed


def test_the_address_of_the_form_is_the_agreed_one() -> None:
    assert reverse("exercises:paper-new", kwargs={"academy": "larkmere"}) == URL


def test_a_link_names_the_exercise_that_the_form_begins_with(client: Client) -> None:
    page = client.get(URL, {"family": "cover-white-hair", "module": "unknown"}).text
    assert '<option value="cover-white-hair" selected>' in page
    assert '<option value="dilute-a-developer" selected>' not in page


def test_the_look_lists_every_rule_with_its_source(client: Client, filled: dict[str, Any]) -> None:
    white = {**filled, "part-0-family": "cover-white-hair", "act": "look"}
    page = client.post(URL, white).text
    spread = page.split("Mixed product for each cm² of scalp and cm of regrowth: ")[1]
    assert spread.startswith(
        '<b>0.075 g, the standard rule</b> <span class="quiet">(academy rule; to be confirmed)'
    )


def test_a_part_that_cannot_be_drawn_is_named_with_the_reason_and_nothing_is_lost(
    client: Client, filled: dict[str, Any], learner: Person
) -> None:
    two = {**filled, "row": ["0", "1"], "part-1-family": "scale-a-recipe-to-a-head"}
    two |= {"part-1-level": "first", "part-1-count": "37", "part-0-count": "1"}
    page = client.post(URL, {**two, "act": "look"}).text
    assert '<a href="#id_part-1-family">Part 2, Exercise: There are not 37 different' in page
    assert 'value="Developer and bowl"' in page
    assert 'name="part-1-count" value="37"' in page
    assert not Paper.objects.exists()


def test_a_label_at_another_level_is_said_beside_the_label(
    client: Client, filled: dict[str, Any], academy: Academy, educator: Person
) -> None:
    fields = {"kind": "permanent", "ratios": ["1.5"]}
    label = enter_label(academy=academy, by=educator, name="Cream B", fields=fields)
    page = client.post(URL, {**filled, "part-0-label": label.token, "act": "look"}).text
    assert '<a href="#id_part-0-label">Part 1, Product label: ' in page


def test_a_test_takes_a_time_and_practice_none(client: Client, filled: dict[str, Any]) -> None:
    page = client.post(URL, {**filled, "minutes": "40", "act": "look"}).text
    assert "Only a test has a time." in page
    client.post(URL, looked(client, {**filled, "kind": "test", "minutes": "40 min"}))
    assert Paper.objects.get().minutes == 40


def test_exercises_stand_under_their_groups_in_the_select(client: Client) -> None:
    page = client.get(URL).text
    groups = re.findall(r'<optgroup label="([^"]+)"', page)
    assert groups[0] == "Calculations"
    assert page.index("Calculations") < page.index('value="dilute-a-developer"')


def a_module(academy: Academy, educator: Person, steps: int = 8) -> ModuleVersion:
    """A published module with so many steps."""
    work = [StepContent(f"Step {n}", f"Do number {n}.") for n in range(1, steps + 1)]
    content = replace(module("quarters", "Quarters and clips"), steps=tuple(work))
    load_modules(academy=academy, by=educator, contents=[content])
    return ModuleVersion.objects.get(academy=academy)


def test_a_module_with_too_few_steps_is_named_with_its_part(
    client: Client, filled: dict[str, Any], academy: Academy, educator: Person
) -> None:
    version = a_module(academy, educator, steps=2)
    order = {**filled, "part-0-family": "order-of-steps", "part-0-module": version.token}
    page = client.post(URL, {**order, "act": "look"}).text
    assert '<a href="#id_part-0-family">Part 1, Exercise: ' in page
    assert not Paper.objects.exists()


def test_an_order_exercise_asks_for_a_module_and_is_set_with_its_text(
    client: Client, filled: dict[str, Any], academy: Academy, educator: Person
) -> None:
    version = a_module(academy, educator)
    order = {**filled, "part-0-family": "order-of-steps", "part-0-count": "1"}
    page = client.post(URL, {**order, "act": "look"}).text
    assert '<a href="#id_part-0-module">Part 1, Made from the steps of: Nothing chosen yet.' in page
    client.post(URL, looked(client, {**order, "part-0-module": version.token}))
    part = Paper.objects.get().parts.get()
    assert part.module_version == version
    assert part.material == {
        "title": version.title,
        "steps": [step.head for step in version.steps.all()],
    }


def test_a_module_is_left_out_where_the_exercise_has_no_use_for_it(
    client: Client, filled: dict[str, Any], academy: Academy, educator: Person
) -> None:
    version = a_module(academy, educator)
    client.post(URL, looked(client, {**filled, "part-0-module": version.token}))
    assert Paper.objects.get().parts.get().module_version is None


def test_a_link_from_a_module_makes_the_order_exercise_from_it(
    client: Client, academy: Academy, educator: Person
) -> None:
    token = a_module(academy, educator).token
    page = client.get(URL, {"family": "order-of-steps", "module": token}).text
    assert page.count(f'<option value="{token}" selected>') == 2


def test_a_link_may_name_several_exercises(client: Client) -> None:
    page = client.get(f"{URL}?family=cover-white-hair&family=dilute-a-developer").text
    assert page.count('name="row"') == 2
    assert '<option value="dilute-a-developer" selected>' in page


def test_many_parts_ask_the_database_no_more_often_than_one(
    client: Client, filled: dict[str, Any]
) -> None:
    counts = []
    for rows in (1, 20):
        many = {**filled, "row": [str(row) for row in range(rows)], "act": "add"}
        with CaptureQueriesContext(connection) as asked:
            client.post(URL, many)
        counts.append(len(asked))
    assert counts[0] == counts[1]
