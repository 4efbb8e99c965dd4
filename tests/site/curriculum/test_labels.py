"""Product labels: what the maker prints, as the academy entered it."""

from __future__ import annotations

import html
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from academy.audit.models import Entry
from academy.craft.rules import DecidedBy, training_labels
from academy.curriculum.errors import CurriculumError
from academy.curriculum.house import label_of, rules_today
from academy.curriculum.models import ProductLabel
from academy.curriculum.services import enter_label

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

TYPED = {
    "name": "Cream",
    "kind": "permanent",
    "ratios": "1; 1,5",
    "minutes": "35 min",
    "on_scalp": "on",
}


@pytest.fixture
def client(educator: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(educator)


def test_a_label_beats_the_standard(academy: Academy, educator: Person) -> None:
    fields = {"kind": "permanent", "ratios": ["1.5"]}
    row = enter_label(academy=academy, by=educator, name="Cream", fields=fields)
    decided = rules_today(academy, label=label_of(row)).decide("mixing_ratio", kind="permanent")
    assert (decided.number, decided.decided_by) == (Decimal("1.5"), DecidedBy.LABEL)
    assert Entry.objects.latest("sequence").details == {"label": "cream"}


def test_every_training_label_is_kept_without_loss(academy: Academy) -> None:
    for key, label in training_labels().items():
        fields = label.to_data()
        name = fields.pop("name")
        row = enter_label(academy=academy, by=None, name=name, fields=fields, key=key)
        row.refresh_from_db()
        assert label_of(row) == label


def test_a_label_outside_a_range_is_refused_with_the_range(academy: Academy) -> None:
    fields = {"kind": "permanent", "minutes": "300"}
    with pytest.raises(CurriculumError, match="Allowed"):
        enter_label(academy=academy, by=None, name="Cream", fields=fields)
    assert not ProductLabel.objects.exists()


def test_a_product_stands_in_the_list_once(academy: Academy) -> None:
    enter_label(academy=academy, by=None, name="Cream", fields={"kind": "permanent"})
    with pytest.raises(CurriculumError, match="stands in the list already"):
        enter_label(academy=academy, by=None, name="Cream", fields={"kind": "permanent"})


def test_only_educators_enter_labels(academy: Academy, assessor: Person) -> None:
    with pytest.raises(CurriculumError, match="Only an educator"):
        enter_label(academy=academy, by=assessor, name="Cream", fields={"kind": "permanent"})


def test_a_label_is_entered_on_its_page(client: Client, base: str, educator: Person) -> None:
    assert client.post(f"{base}labels/new/", TYPED).status_code == 302
    row = ProductLabel.objects.get()
    assert label_of(row).ratios == (Decimal(1), Decimal("1.5"))
    assert label_of(row).minutes == 35
    assert row.entered_by == educator


def test_a_label_sent_as_it_stands_keeps_its_own_bands(
    client: Client, base: str, academy: Academy
) -> None:
    fields = {"kind": "permanent", "white_bands": {"normal.40": "60"}}
    row = enter_label(academy=academy, by=None, name="Cream", fields=fields)
    assert client.post(f"{base}labels/{row.token}/", TYPED).status_code == 302
    row.refresh_from_db()
    assert label_of(row).white_bands == {"normal.40": Decimal(60)}
    assert Entry.objects.latest("sequence").action == "curriculum.label.corrected"


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "This is needed."),
        ("name", "x" * 81, "Too long: 81 characters"),
        ("name", "???", "holds no letters"),
        ("kind", "tea", "not on the list"),
        ("ratios", "1; many", "This is not a figure."),
        ("ratios", "-1", "Too low."),
        ("ratios", " ".join("1" * 13), "Too many figures."),
        ("strengths", "300", "Too high."),
        ("minutes", "half an hour", "This is not a figure."),
        ("minutes", "35 g", "min"),
        ("minutes", "300", "Allowed"),
        ("ceiling", "-5", "Too low."),
        ("note", "x" * 201, "Too long: 201 characters"),
    ],
)
def test_a_label_that_cannot_stand_keeps_what_was_typed(
    field: str, typed: str, sentence: str, client: Client, base: str
) -> None:
    page = client.post(f"{base}labels/new/", {**TYPED, field: typed})
    text = html.unescape(page.content.decode())
    assert page.status_code == 200
    assert sentence in text
    assert field == "ratios" or 'value="1; 1,5"' in text
    assert not ProductLabel.objects.exists()
