"""A product label as it is printed: what is left empty decides nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.rules import standard_rules, training_labels
from academy.web.forms import BlockworkForm, DecimalField, UnitField
from academy.web.numbers import write_figure

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.rules import Label

MOST_FIGURES = 12


def kinds() -> list[str]:
    """Every product kind that a standard rule or a training label speaks of."""
    named = {
        rule.label_field.partition(".")[0]
        for rule in standard_rules().rules.values()
        if rule.label_field
    }
    named |= {label.kind for label in training_labels().values()}
    return sorted(named - {"*"})


class FiguresField(forms.CharField):
    """One or more figures, apart by a space or a semicolon: "1 1,5" gives (1, 1.5)."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=60, required=False, **options)
        self.figure = DecimalField(min_value=0, max_value=100, places=2)

    def prepare_value(self, value: Any) -> Any:
        return "; ".join(map(write_figure, value)) if isinstance(value, tuple) else value

    def clean(self, value: Any) -> tuple[Decimal, ...]:
        words = super().clean(value).replace(";", " ").split()
        if len(words) > MOST_FIGURES:
            raise forms.ValidationError(_("Too many figures. Give at most twelve."))
        figures = [self.figure.clean(word.rstrip(",")) for word in words]
        return tuple(figure for figure in figures if figure is not None)


class LabelForm(BlockworkForm):
    name = forms.CharField(label=_("Product"), max_length=80)
    kind = forms.ChoiceField(
        label=_("Kind"), choices=lambda: [(kind, kind.replace("_", " ")) for kind in kinds()]
    )
    ratios = FiguresField(
        label=_("Mixing ratio, 1 to"),
        help_text=_("Several with a semicolon between, for example 1; 1.5"),
    )
    strengths = FiguresField(
        label=_("Strengths allowed, %"),
        help_text=_("Several with a semicolon between, for example 2; 4"),
    )
    top_strength = UnitField(
        "%", label=_("Top strength"), required=False, min_value=0, max_value=100
    )
    minutes = UnitField("min", label=_("Development"), required=False, min_value=0, max_value=600)
    minutes_resistant = UnitField(
        "min", label=_("Development on resistant white"), required=False, min_value=0, max_value=600
    )
    ceiling = UnitField("min", label=_("Longest time"), required=False, min_value=0, max_value=600)
    counts_from_start = forms.BooleanField(
        label=_("Time counts from the start of application"), required=False
    )
    heat_allowed = forms.BooleanField(label=_("Heat is allowed"), required=False)
    on_scalp = forms.BooleanField(label=_("May touch the scalp"), required=False, initial=True)
    skin_test_hours = UnitField(
        "h", label=_("Skin test, hours before"), required=False, min_value=0, max_value=240
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    @property
    def label_fields(self) -> dict[str, Any]:
        """The cleaned values as fields of `craft.rules.Label`, without what was left empty."""
        given = {name: value for name, value in self.cleaned_data.items() if name != "name"}
        return {
            name: value
            for name, value in given.items()
            if value not in (None, "", ()) or isinstance(value, bool)
        }

    @staticmethod
    def initial_of(label: Label) -> dict[str, Any]:
        return {name: getattr(label, name) for name in LabelForm.base_fields}
