"""Controls of the practice pages; their templates lie in templates/practice/parts/."""

from __future__ import annotations

from typing import Any

from django import forms


class RadioChips(forms.RadioSelect):
    """One of a few, as large boxes."""

    template_name = "practice/parts/radio_chips.html"


class Stepper(forms.TextInput):
    """A count with a button for one fewer and one more, which a script shows."""

    template_name = "practice/parts/stepper.html"

    def __init__(self, of: str, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"inputmode": "numeric", "autocomplete": "off", **(attrs or {})})
        self.of = of

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        return {**super().get_context(name, value, attrs), "of": self.of}
