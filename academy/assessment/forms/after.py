"""Forms of what follows a "not yet": the re-assessment, plans, appeals."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.forms.deciding import ModuleField, people_in
from academy.craft.measure import counted
from academy.curriculum.models import ModuleVersion
from academy.people.models import Person, Role
from academy.web.forms import BlockworkForm, DayField

if TYPE_CHECKING:
    from academy.assessment.again import AfterNotYet
    from academy.people.models import Academy


def _long(label: str, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=help_text,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class AgainForm(BlockworkForm):
    """Which other criteria a partial re-assessment judges."""

    deed = "can begin"
    chosen = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, after: AfterNotYet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not after.again.others:
            del self.fields["chosen"]
            return
        field: Any = self.fields["chosen"]
        field.choices = after.choices
        field.label = f"Choose {counted(after.again.others, 'other criterion', 'other criteria')}"
        field.error_messages["required"] = (
            "Nothing chosen yet. A partial re-assessment judges this besides what was missed."
        )

    @property
    def codes(self) -> list[str]:
        return list(self.cleaned_data.get("chosen", []))


class PlanForm(BlockworkForm):
    """What educator and apprentice agree, until when."""

    deed = "can be written"
    apprentice = forms.ModelChoiceField(Person.objects.none(), to_field_name="token")
    module = ModuleField(ModuleVersion.objects.none(), to_field_name="module__token")
    text = _long("What is done, how often, with whom", "The apprentice reads this.")
    due_on = DayField(label="By which day")
    whole_module = forms.BooleanField(
        required=False, label="The next head is judged whole, not only what was missed"
    )

    def __init__(self, *args: Any, academy: Academy, educator: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        apprentices = people_in(academy, Role.APPRENTICE, without=educator)
        self.fields["apprentice"].queryset = apprentices  # type: ignore[attr-defined]
        self.fields["module"].queryset = (  # type: ignore[attr-defined]
            ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
            .select_related("module")
            .order_by("module__position")
        )


class PlanCloseForm(BlockworkForm):
    """What came of a plan."""

    deed = "can be closed"
    came_of = _long("What came of it", "It stays with the plan; the apprentice reads it.")


class AppealForm(BlockworkForm):
    """An appeal in writing."""

    deed = "can be sent"
    text = _long("What you see differently, and why", "The verifier reads this.")


class AppealBackForm(BlockworkForm):
    """Taking an appeal back."""

    deed = "can be taken back"
    reason = forms.CharField(
        required=False,
        max_length=400,
        label="Why you take it back",
        help_text="The verifier reads this.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class AppealAnswerForm(BlockworkForm):
    """The reason of an answer; what is decided follows from the marks and the ruling."""

    deed = "can be sent"
    reason = _long("Reason", "The apprentice reads this. It cannot be changed afterwards.")
