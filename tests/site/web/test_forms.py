from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.template import Context, Template
from django.utils import timezone
from hypothesis import given, strategies as st

from academy.people.models import Academy
from academy.web.forms import (
    BlockworkForm,
    DayField,
    DecimalField,
    LevelField,
    MomentField,
    TimeField,
    TokenField,
    UnitField,
    ZonesField,
)
from academy.web.refused import Refused
from academy.web.tokens import new_token

urlpatterns: list[object] = []  # a form needs no address
pytestmark = pytest.mark.urls(__name__)


class Bowl(BlockworkForm):
    deed = "can be marked"

    developer = UnitField("g", label="Developer")
    strength = DecimalField(label="Strength", help_text="After mixing.")
    weave = LevelField(label="Weave")
    zones = ZonesField(label="Zones", required=False)
    start = MomentField(label="Start")
    assessor = forms.ChoiceField(label="Assessor", choices=[("h", "Henrike"), ("d", "Dilys")])
    note = forms.CharField(label="Note", max_length=10)
    key = TokenField()


GOOD = {
    "developer": "45 g",
    "strength": "3,6",
    "weave": "3",
    "zones": ["top", "crown"],
    "start_0": "2026-11-25",
    "start_1": "10:30",
    "assessor": "h",
    "note": "Even.",
    "key": new_token(),
}


def printed(form: BlockworkForm) -> str:
    html = Template("{% load crispy_forms_tags %}{% crispy form %}").render(Context({"form": form}))
    return re.sub(r"\s+", " ", html)


def refusal(field: forms.Field, text: str) -> str:
    with pytest.raises(ValidationError) as caught:
        field.clean(text)
    return caught.value.messages[0]


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("1.5", "1.5"),
        ("1,5", "1.5"),
        (" 30 ", "30"),
        (",5", "0.5"),
        ("7.", "7"),
        ("-2", "-2"),
        ("−2", "-2"),
        ("1 240", "1240"),
        ("1\u202f240,5", "1240.5"),
    ],
)
def test_comma_and_point_are_both_read(text: str, figure: str) -> None:
    assert DecimalField().clean(text) == Decimal(figure)


@pytest.mark.parametrize("text", ["1,5,2", "1.240,5", "1..5", "1,,5"])
def test_two_marks_are_refused_because_nobody_can_tell_which_one_counts(text: str) -> None:
    assert refusal(DecimalField(), text).startswith("Two marks in one figure.")


def test_a_unit_where_none_belongs_is_named() -> None:
    assert refusal(DecimalField(), "30 g") == (
        "Give the figure alone, without “g”, for example 1.5."
    )


@pytest.mark.parametrize("text", ["abc", "1 : 1.5", "1e5", "12-13", "١٢", "NaN", "inf", "1 24 0"])
def test_what_is_no_figure_is_refused(text: str) -> None:
    with pytest.raises(ValidationError):
        DecimalField().clean(text)


@pytest.mark.parametrize("text", ["45", "45 g", "45g", "45 grams", "45 G", "45 gr."])
def test_a_unit_may_be_typed_as_people_write_it(text: str) -> None:
    assert UnitField("g").clean(text) == Decimal(45)


def test_another_unit_is_refused_with_what_to_do_and_an_example() -> None:
    sentence = refusal(UnitField("g"), "60 ml")
    assert sentence == "This line is weighed. Give grams, for example 45 g."


def test_limits_are_said_with_their_unit() -> None:
    assert refusal(UnitField("%", max_value=12), "12,5") == (
        "Too high. The most that is taken here is 12 %."
    )
    assert refusal(UnitField("min", min_value=0), "-5").startswith("Too low.")
    assert refusal(DecimalField(places=1), "1,55").startswith("Too fine: at most 1 decimals")


@given(st.decimals(min_value=-9999, max_value=9999, places=2))
def test_a_figure_that_was_printed_is_read_back(figure: Decimal) -> None:
    field = DecimalField()
    assert field.clean(field.prepare_value(figure)) == figure


def test_an_optional_figure_may_stay_empty() -> None:
    assert DecimalField(required=False).clean("  ") is None


@pytest.mark.parametrize("text", ["14:05", "14.05", "1405", "14h05", "14:05:00"])
def test_a_time_of_day_is_read_in_24_hours(text: str) -> None:
    assert TimeField().clean(text).strftime("%H:%M") == "14:05"


@pytest.mark.parametrize("text", ["2:05 pm", "25:00", "12:60", "noon"])
def test_another_clock_is_refused_with_a_sentence(text: str) -> None:
    assert "24 hours" in refusal(TimeField(), text)


@pytest.mark.parametrize("text", ["2026-11-25", "25/11/2026", "25.11.2026", "25 Nov 2026"])
def test_a_day_is_read_as_people_write_it(text: str) -> None:
    assert DayField().clean(text) == date(2026, 11, 25)


def test_a_moment_is_in_the_academy_s_time_zone() -> None:
    with timezone.override(ZoneInfo("Europe/Berlin")):
        moment = MomentField().clean(["2026-11-25", "10:30"])
    assert moment == datetime(2026, 11, 25, 10, 30, tzinfo=ZoneInfo("Europe/Berlin"))


def test_half_a_moment_is_refused() -> None:
    with pytest.raises(ValidationError):
        MomentField().clean(["2026-11-25", ""])


def test_a_level_is_a_number_and_nothing_is_chosen_beforehand() -> None:
    assert LevelField().clean("3") == 3
    assert "checked" not in printed(Bowl())
    assert refusal(LevelField(), "5")


def test_a_zone_outside_the_module_is_refused() -> None:
    assert ZonesField(zones=["top"]).clean(["top"]) == ["top"]
    assert refusal(ZonesField(zones=["top"]), ["nape"])  # type: ignore[arg-type]


def test_a_good_form_gives_clean_values() -> None:
    form = Bowl(GOOD)
    assert form.is_valid(), form.errors
    assert form.cleaned_data["developer"] == Decimal(45)
    assert form.cleaned_data["strength"] == Decimal("3.6")


def test_a_refused_form_keeps_everything_that_was_typed() -> None:
    html = printed(Bowl({**GOOD, "developer": "60 ml", "strength": "1,5,2"}))
    assert 'value="60 ml"' in html
    assert 'value="1,5,2"' in html
    assert re.search(r'name="weave" value="3"[^>]* checked', html)
    assert re.search(r'name="zones" value="crown"[^>]* checked', html)
    assert 'value="10:30"' in html
    assert ">Even.</" in html or 'value="Even."' in html


def test_the_sentence_stands_at_the_field_and_the_field_names_it() -> None:
    html = printed(Bowl({**GOOD, "strength": "1,5,2"}))
    field = re.search(r'<input[^>]*id="id_strength"[^>]*>', html)
    assert field
    assert 'aria-invalid="true"' in field[0]
    assert 'aria-describedby="id_strength_helptext id_strength_error"' in field[0]
    assert re.search(r'id="id_strength_error">.*?Two marks in one figure', html)
    assert 'id="id_strength_helptext"' in html


def test_groups_of_boxes_name_their_sentence_too() -> None:
    html = printed(Bowl({**GOOD, "weave": ""}))
    assert 'id="div_id_weave" aria-describedby="id_weave_error"' in html
    assert "no level yet" in html


def test_the_summary_counts_and_leads_to_the_fields() -> None:
    html = printed(Bowl({**GOOD, "developer": "", "weave": "9"}))
    assert "Two lines need you before this can be marked" in html
    assert '<a href="#id_developer">Developer: No figure yet.' in html
    assert 'href="#id_weave_0"' in html
    assert 'id="id_weave_0"' in html
    assert 'role="alert"' in html


def test_the_summary_leads_to_a_group_from_which_nothing_can_be_chosen() -> None:
    class Empty(BlockworkForm):
        people = forms.MultipleChoiceField(choices=[], widget=forms.CheckboxSelectMultiple)

    html = printed(Empty({}))
    assert '<a href="#div_id_people">People:' in html
    assert 'id="div_id_people"' in html


def test_a_form_without_mistakes_has_no_summary() -> None:
    assert 'role="alert"' not in printed(Bowl())


def test_django_s_own_sentences_are_said_our_way() -> None:
    form = Bowl({**GOOD, "note": "far too long for this", "assessor": "x"})
    assert form.errors["note"] == ["Too long: 21 characters, and 10 fit. Shorten it."]
    assert form.errors["assessor"] == ["This is not on the list any more. Choose again."]
    assert Bowl({**GOOD, "note": ""}).errors["note"] == ["Nothing here yet. This is needed."]


def test_a_field_s_own_sentence_stays() -> None:
    class Own(BlockworkForm):
        name = forms.CharField(error_messages={"required": "Say who."})

    assert Own({}).errors["name"] == ["Say who."]


def test_a_refusal_of_a_service_lands_at_its_field() -> None:
    form = Bowl(GOOD)
    form.refuse(Refused("Chair 4 is taken at 10:30.", field="start"))
    form.refuse(Refused("This version is retired."))
    assert form.errors["start"] == ["Chair 4 is taken at 10:30."]
    assert form.non_field_errors() == ["This version is retired."]
    assert "Two lines need you" in form.error_title()


def test_what_may_stay_empty_says_so_and_nothing_carries_an_asterisk() -> None:
    html = printed(Bowl())
    assert "may stay empty" in html
    assert "*" not in html


def test_the_browser_does_not_answer_in_our_place() -> None:
    assert " required" not in printed(Bowl())


def test_every_page_gets_a_key_of_its_own() -> None:
    keys = [re.search(r'name="key" value="([^"]+)"', printed(Bowl())) for _ in range(2)]
    assert keys[0]
    assert keys[1]
    assert keys[0][1] != keys[1][1]


def test_a_key_that_was_sent_comes_back_the_same_until_its_row_is_made() -> None:
    assert str(GOOD["key"]) in printed(Bowl({**GOOD, "note": ""}))


def test_a_page_without_a_key_is_refused_and_leaves_with_a_fresh_one() -> None:
    form = Bowl({**GOOD, "key": "short"})
    assert not form.is_valid()
    assert re.search(r'name="key" value="[A-Za-z0-9_-]{22}"', printed(form))


def test_a_list_of_rows_begins_with_choose_one_unless_the_form_says_otherwise() -> None:
    class Pick(BlockworkForm):
        one = forms.ModelChoiceField(queryset=Academy.objects.none())
        other = forms.ModelChoiceField(queryset=Academy.objects.none(), empty_label="None")

    fields = Pick().fields
    found = [str(getattr(fields[name], "empty_label", "")) for name in ("one", "other")]
    assert found == ["Choose one", "None"]
