"""The calculator: a bowl, a strength and a quantity, with who decided and what is refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from academy.curriculum.models import ProductLabel
from academy.curriculum.services import make_rule_set

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

PAGE = "/larkmere/modules/mixture/"
BOWL = {
    "tool": "bowl",
    "use": "lift_3",
    "colour": "40 g",
    "developer": "60",
    "strength": "30 vol",
}


@pytest.fixture
def work(signed_in: Callable[[Person], Client], apprentice: Person) -> Callable[..., str]:
    """`work(tool=…)`: the page as an apprentice sees it, tags taken out."""
    client = signed_in(apprentice)

    def get(**typed: str) -> str:
        page = client.get(PAGE, typed).content.decode()
        return " ".join(re.sub(r"<[^>]+>", " ", page).split())

    return get


def test_the_empty_page_asks_and_says_nothing(work: Callable[..., str]) -> None:
    page = work()
    assert "Work out the bowl" in page
    assert "No reason to refuse" not in page
    assert 'role="alert"' not in page


def test_a_bowl_shows_strength_on_the_head_and_the_rule(work: Callable[..., str]) -> None:
    page = work(**BOWL)
    assert "No reason to refuse was found in what you entered" in page
    assert "Peroxide on the head limit: 12 %, fixed by law 5.4 %" in page
    assert "It is mixed 1:1.5; the rule is 1:1, the standard rule." in page
    assert "permanent colour, no white: ceiling 45 min, the standard rule" in page


def test_an_ingredient_over_its_limit_is_refused(work: Callable[..., str]) -> None:
    page = work(**BOWL, ingredient="resorcinol", in_tube="3,5")
    assert "Refused: this may not go on a head" in page
    assert "1.4 % in the mixture is above the limit of 1.25 %" in page


def test_a_house_rule_and_a_label_of_the_academy_decide(
    work: Callable[..., str], academy: Academy, educator: Person
) -> None:
    make_rule_set(
        academy=academy,
        by=educator,
        changes={"developer_strength.lift_3": Decimal(6)},
        note="",
        seen=0,
    )
    label = ProductLabel.objects.create(
        academy=academy,
        key="cream",
        name="Training cream",
        fields={"kind": "permanent", "ratios": ["1.5"]},
    )
    page = work(**BOWL, label=label.token)
    assert "rule: 6 %, from your house rule 1" in page
    assert "rule: 1:1.5, from the label of Training cream" in page
    assert "It is mixed" not in page


def test_the_label_of_another_academy_is_unknown(
    work: Callable[..., str], other_academy: Academy
) -> None:
    label = ProductLabel.objects.create(
        academy=other_academy, key="cream", name="Theirs", fields={"kind": "permanent"}
    )
    assert "not on the list" in work(**BOWL, label=label.token)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"colour": "0"}, "Too low"),
        ({"colour": "1.500,0"}, "Two marks"),
        ({"colour": "20 vol"}, "This line is weighed"),
        ({"strength": "abc"}, "This is a strength"),
        ({"strength": "6 vol"}, "Did you mean 6 %"),
        ({"strength": "12.5"}, "Did you mean 12.5 vol"),
        ({"ingredient": "resorcinol"}, "Give its share in the tube"),
        ({"strength_2": "3"}, "Give its grams"),
        ({"use": "moon"}, "not on the list"),
    ],
)
def test_bad_input_says_what_is_wrong_and_keeps_what_was_typed(
    signed_in: Callable[[Person], Client], apprentice: Person, typed: dict[str, str], words: str
) -> None:
    page = signed_in(apprentice).get(PAGE, BOWL | typed).content.decode()
    assert words in page
    assert 'role="alert"' in page
    kept = typed.get("colour", "40 g")
    assert f'value="{kept}"' in page


def test_a_strength_is_made_by_the_cross_or_refused(work: Callable[..., str]) -> None:
    made = {"tool": "strength", "total": "120", "wanted": "4.5", "stronger": "12", "weaker": "3"}
    page = work(**made)
    assert "Stronger bottle 20 g" in page
    assert "Parts, stronger to weaker 1:5" in page
    assert "no mix is stronger or weaker than both its parts" in work(**made | {"wanted": "2"})
    assert "is one of the two already" in work(**made | {"wanted": "12"})


def test_an_empty_weaker_bottle_is_a_neutral_cream(work: Callable[..., str]) -> None:
    """trade.md 4.1, computed: 80 g of 4.5 % from 12 % are 30 g and 50 g."""
    page = work(tool="strength", total="80", wanted="4.5", stronger="40 vol")
    assert "Stronger bottle 30 g" in page
    assert "neutral cream 50 g" in page


def test_a_quantity_is_reckoned_from_weeks_with_its_rules(work: Callable[..., str]) -> None:
    page = work(tool="quantity", area="172.8", weeks="7", ratio="1:1")
    assert "2.01 cm" in page
    assert "26.1 g" in page
    assert "Growth in a month of 30.44 days: 1.25 cm, the standard rule" in page
    assert "Give the regrowth" in work(tool="quantity", area="100", ratio="1:1")
