"""What is typed into the calculator: a bowl, a strength to make, a head to cover."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.formula.bowl import INGREDIENTS, USES, Bowl
from academy.craft.measure import Kind, Ratio, read_answer, shown
from academy.curriculum.models import ProductLabel
from academy.web.forms import BlockworkForm, UnitField

if TYPE_CHECKING:
    from academy.people.models import Academy

MOST_GRAMS = 1000
STRONGEST = 12
LONGEST = 60


class StrengthField(forms.CharField):
    """A developer's strength in per cent, or in volume by the trade table: "20 vol" is 6 %."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(max_length=LONGEST, **options)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        reading = read_answer(Kind.STRENGTH, text)
        if not isinstance(reading.value, Decimal):
            raise forms.ValidationError(reading.sentence)
        if reading.doubt:
            raise forms.ValidationError(reading.doubt)
        if reading.value > STRONGEST:
            raise forms.ValidationError(
                _("%(strength)s %% is stronger than any developer for hair: at most 12 %%."),
                params={"strength": shown(reading.value, 2)},
            )
        return reading.value


class RatioField(forms.CharField):
    """The d of 1:d, from "1:1.5" or "2 to 3"."""

    def clean(self, value: Any) -> Any:
        reading = read_answer(Kind.RATIO, super().clean(value))
        if not isinstance(reading.value, Ratio):
            raise forms.ValidationError(reading.sentence)
        return reading.value.second_to_one


def weighed(label: Any, *, required: bool = False, least: int = 0) -> UnitField:
    """A weight in grams."""
    return UnitField(
        "g", label=label, required=required, min_value=least, max_value=MOST_GRAMS, places=2
    )


class BowlForm(BlockworkForm):
    """What was weighed into a bowl."""

    deed = _("can be worked out")

    use = forms.ChoiceField(
        label=_("What it is for"), choices=[(key, use.name) for key, use in USES.items()]
    )
    label = forms.ModelChoiceField(
        label=_("Product label"),
        queryset=ProductLabel.objects.none(),
        to_field_name="token",
        required=False,
        empty_label=_("None"),
    )
    colour = weighed(_("Colour or powder"), required=True, least=1)
    other = weighed(_("Conditioner or shampoo"))
    developer = weighed(_("Developer"), required=True)
    strength = StrengthField(label=_("Its strength"), help_text=_("For example 6 % or 20 vol"))
    developer_2 = weighed(_("Second developer, or neutral cream"))
    strength_2 = StrengthField(
        label=_("Its strength"), required=False, help_text=_("Empty: no peroxide")
    )
    ingredient = forms.ChoiceField(
        label=_("Ingredient with a limit"),
        choices=[("", _("None")), *INGREDIENTS.items()],
        required=False,
    )
    in_tube = UnitField(
        "%", label=_("In the tube"), required=False, min_value=0, max_value=100, example="2.5 %"
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        labels = ProductLabel.objects.filter(academy=academy).order_by("name")
        self.fields["label"].queryset = labels  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if data.get("ingredient") and data.get("in_tube") is None and "in_tube" in data:
            self.add_error("in_tube", _("Give its share in the tube, for example 2.5 %."))
        if data.get("strength_2") and not data.get("developer_2"):
            self.add_error("developer_2", _("Give its grams, for example 20 g."))
        return data

    def bowl(self) -> Bowl:
        """The bowl that was typed."""
        data = self.cleaned_data
        developers = [(data["developer"], data["strength"])]
        if data["developer_2"]:
            developers.append((data["developer_2"], data["strength_2"] or Decimal(0)))
        return Bowl(
            data["use"],
            data["colour"],
            tuple(developers),
            data["other"] or Decimal(0),
            data["ingredient"],
            data["in_tube"] or Decimal(0),
        )


class StrengthForm(BlockworkForm):
    """A strength to be made from two bottles, the weaker of which may hold no peroxide."""

    deed = _("can be worked out")

    total = weighed(_("How much"), required=True, least=1)
    wanted = StrengthField(label=_("Wanted strength"), help_text=_("For example 4.5 %"))
    stronger = StrengthField(label=_("Stronger bottle"), help_text=_("For example 9 % or 30 vol"))
    weaker = StrengthField(
        label=_("Weaker bottle"),
        required=False,
        help_text=_("Empty: a neutral cream that the label allows"),
    )


class QuantityForm(BlockworkForm):
    """A regrowth to be covered: how long it is, or how many weeks it grew."""

    deed = _("can be worked out")

    area = UnitField(
        "cm²", label=_("Scalp to cover"), min_value=1, max_value=1000, places=1, example="250 cm²"
    )
    regrowth = UnitField(
        "cm", label=_("Regrowth"), required=False, min_value=0, max_value=10, example="0.8 cm"
    )
    weeks = forms.IntegerField(
        label=_("Or weeks since the last colour"), required=False, min_value=1, max_value=52
    )
    ratio = RatioField(label=_("Colour to developer"), max_length=LONGEST, initial="1:1")

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if "regrowth" in data and not data.get("regrowth") and not data.get("weeks"):
            self.add_error("regrowth", _("Give the regrowth in cm, or the weeks it grew."))
        return data
