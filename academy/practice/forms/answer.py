"""The supervisor's answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.practice.names import names_in
from academy.practice.services.answering import LONGEST_ANSWER
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from academy.people.models import Academy, Person

CONFIRM, DIFFERENT = "confirm", "different"


class AnswerForm(BlockworkForm):
    """Confirm as logged, or say what was different. The pressed button says which."""

    deed = "can be kept"

    answer = forms.ChoiceField(choices=[(CONFIRM, ""), (DIFFERENT, "")], widget=forms.HiddenInput)
    note = forms.CharField(
        label="What was different",
        required=False,
        max_length=LONGEST_ANSWER,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Needed where the session was not as it is written. The apprentice reads it.",
    )
    names_ok = forms.BooleanField(label="Save it with the name", required=False)

    def __init__(self, *args: Any, academy: Academy, supervisor: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.academy, self.supervisor = academy, supervisor

    @property
    def asks_about_names(self) -> bool:
        return "names_ok" in self.errors or bool(self.is_bound and self.data.get("names_ok"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        found = names_in([data.get("note") or ""], self.academy, writer=self.supervisor)
        if found and not data.get("names_ok"):
            words = ", ".join(f"“{name}”" for name in found)
            self.add_error(
                "names_ok",
                f"{words} may be the name of somebody here. Leave it out, or tick this to keep it.",
            )
        return data

    @property
    def confirmed(self) -> bool:
        return bool(self.cleaned_data["answer"] == CONFIRM)
