"""Controls with markup of our own; their templates lie in templates/parts/widgets/."""

from __future__ import annotations

from typing import Any

from django import forms

# A text box: the native control shows a 12-hour clock wherever the browser is set to one.
TIME_ATTRS = {"class": "time", "inputmode": "numeric", "autocomplete": "off", "maxlength": "8"}


class UnitInput(forms.TextInput):
    """A figure in mono with its unit beside it."""

    template_name = "parts/widgets/unit.html"

    def __init__(self, unit: str, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"inputmode": "decimal", "autocomplete": "off", **(attrs or {})})
        self.unit = unit

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        return {**super().get_context(name, value, attrs), "unit": self.unit}


class Levels(forms.RadioSelect):
    """Boxes on one rule, nothing chosen beforehand, a thick line before the level that passes."""

    template_name = "parts/widgets/levels.html"

    def __init__(self, pass_from: int | None = None, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.pass_from = pass_from

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        return {**context, "pass_from": self.pass_from, "width": len(list(self.choices))}


class Chips(forms.CheckboxSelectMultiple):
    """Several of a few."""

    template_name = "parts/widgets/chips.html"


class MomentInput(forms.SplitDateTimeWidget):
    """A day and a time of day side by side; the time always in 24 hours on the wire."""

    template_name = "parts/widgets/moment.html"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(
            attrs,
            date_format="%Y-%m-%d",
            time_format="%H:%M",
            date_attrs={"type": "date"},
            time_attrs=TIME_ATTRS,
        )

    def id_for_label(self, id_: str) -> str:
        return f"{id_}_0"
