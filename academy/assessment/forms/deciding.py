"""Forms of bookings, sign-offs and verifications."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.models import Verification
from academy.assessment.services.signing import Ticks, result_errors
from academy.curriculum.models import ModuleVersion
from academy.people.models import Membership, Person, Role
from academy.web.forms import BlockworkForm, DayField, MomentField

if TYPE_CHECKING:
    from academy.people.models import Academy


def people_in(academy: Academy, role: Role, *, without: Person | None = None) -> Any:
    """People who hold a role in the academy today, by name."""
    members = Membership.objects.current().filter(academy=academy, role=role)
    people = Person.objects.filter(memberships__in=members).distinct().order_by("name")
    return people.exclude(pk=without.pk) if without else people


class ModuleField(forms.ModelChoiceField[ModuleVersion]):
    """A module's published version, named in the page by the module's own token."""

    def prepare_value(self, value: Any) -> Any:
        return value.module.token if isinstance(value, ModuleVersion) else value

    def label_from_instance(self, obj: ModuleVersion) -> str:
        return obj.title


class StartForm(BlockworkForm):
    """Whom to assess in which module."""

    deed = "can begin"
    apprentice = forms.ModelChoiceField(Person.objects.none(), to_field_name="token")
    module = ModuleField(ModuleVersion.objects.none(), to_field_name="module__token")

    def __init__(self, *args: Any, academy: Academy, assessor: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        apprentices = people_in(academy, Role.APPRENTICE, without=assessor)
        self.fields["apprentice"].queryset = apprentices  # type: ignore[attr-defined]
        self.fields["module"].queryset = (  # type: ignore[attr-defined]
            ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
            .select_related("module")
            .order_by("module__position")
        )


class BookForm(BlockworkForm):
    """Assessor, time and place of a booking."""

    deed = "can be booked"
    assessor = forms.ModelChoiceField(Person.objects.none())
    at = MomentField(label="Day and time")
    place = forms.CharField(max_length=80, help_text="For example: chair 4.")

    def __init__(self, *args: Any, academy: Academy, apprentice: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        assessors = people_in(academy, Role.ASSESSOR, without=apprentice)
        self.fields["assessor"].queryset = assessors  # type: ignore[attr-defined]


class ReasonForm(BlockworkForm):
    """Why something is called off or left out."""

    reason = forms.CharField(max_length=200)


class MistakeForm(BlockworkForm):
    """Why a submission is taken back."""

    deed = "can be withdrawn"
    reason = forms.CharField(
        max_length=400,
        label="What the mistake was",
        help_text="The apprentice reads this. For example: levels of another head.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class SignForm(BlockworkForm):
    """Four statements and the password again, unless a passkey was just used."""

    deed = "can be signed"
    valid = forms.BooleanField(
        required=False, label="Valid: it shows what the criteria of this module ask for"
    )
    sufficient = forms.BooleanField(
        required=False, label="Sufficient: there is enough of it, on enough heads"
    )
    authentic = forms.BooleanField(
        required=False, label="Authentic: it is this apprentice's own work"
    )
    current = forms.BooleanField(required=False, label="Current: it is recent enough to count")
    password = forms.CharField(
        label="Your password again",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args: Any, by_passkey: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if by_passkey:
            del self.fields["password"]

    @property
    def ticks(self) -> Ticks:
        return Ticks(**{field.name: self.cleaned_data[field.name] for field in fields(Ticks)})

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.ticks.refusal:
            self.add_error(None, self.ticks.refusal)
        return data


class VerifyForm(BlockworkForm):
    """What a verifier decides about a sign-off."""

    deed = "can be recorded"
    result = forms.ChoiceField(
        label="Decision",
        choices=[
            (Verification.Result.UPHELD.value, "Upheld: it stands"),
            (Verification.Result.ACTION_NEEDED.value, "Action needed: something is done by a day"),
            (Verification.Result.OVERTURNED.value, "Overturned: it cannot stand"),
        ],
        widget=forms.RadioSelect,
    )
    text = forms.CharField(
        required=False,
        max_length=2000,
        label="What is to be done, or why it cannot stand",
        help_text="Needed for an action or to overturn. The assessor reads this.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    due_on = DayField(required=False, label="Done by which day", help_text="Needed for an action.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("text", "due_on"):
            self.fields[name].sometimes_needed = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if "result" in data:
            found = result_errors(data["result"], data.get("text", ""), data.get("due_on"))
            for name, sentence in found.items():
                if name not in self.errors:
                    self.add_error(name, sentence)
        return data
