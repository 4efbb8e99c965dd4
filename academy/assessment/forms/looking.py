"""Forms of second marks, rulings, samples and verification."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.models import Assessment, Ruling
from academy.people.models import Cohort, Person
from academy.web.forms import BlockworkForm, DayField, DecimalField

if TYPE_CHECKING:
    from academy.assessment.services.head_sample import SampleRules
    from academy.people.models import Academy


class WishForm(BlockworkForm):
    """Why the assessor wants somebody else to mark the same head."""

    deed = "can be asked for"
    reason = forms.CharField(
        max_length=400,
        label="Why you ask",
        help_text="The second assessor does not read this.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class PersonField(forms.ModelChoiceField[Person]):
    """People by name, with what is to be known of each."""

    notes: dict[int, str]

    def label_from_instance(self, obj: Person) -> str:
        note = getattr(self, "notes", {}).get(obj.pk, "")
        return f"{obj} ({note})" if note else str(obj)


class AssignForm(BlockworkForm):
    """Who gives the second mark."""

    deed = "can be given"
    assessor = PersonField(Person.objects.none(), to_field_name="token")
    reason = forms.CharField(
        max_length=200, label="Why it goes to somebody else", help_text="The other reads this."
    )

    def __init__(
        self, *args: Any, first: Assessment, people: Any, again: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["assessor"]
        found = people.exclude(pk__in=[first.assessor_id, first.apprentice_id])
        field.queryset = found  # type: ignore[attr-defined]
        teaching = found.filter(taught_cohorts__places__person=first.apprentice_id)
        field.notes = dict.fromkeys(  # type: ignore[attr-defined]
            teaching.values_list("pk", flat=True), "teaches this apprentice"
        )
        if not again:
            del self.fields["reason"]


class RulingForm(BlockworkForm):
    """Which mark stands, and why."""

    deed = "can be ruled"
    decision = forms.ChoiceField(
        label="Ruling", choices=Ruling.Decision.choices, widget=forms.RadioSelect
    )
    reason = forms.CharField(
        max_length=2000,
        label="Why",
        help_text="Both assessors and the apprentice read this. Name no assessor.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class HeadSampleForm(BlockworkForm):
    """What share of heads is drawn for a second mark."""

    deed = "can be set"
    percent = DecimalField(label="Share of heads in %", min_value=0)

    def __init__(self, *args: Any, limits: SampleRules, **kwargs: Any) -> None:
        super().__init__(*args, initial={"percent": limits.usual}, **kwargs)
        self.fields["percent"].help_text = f"{limits.words}; 0 ends the sample."


class SampleForm(BlockworkForm):
    """A batch of sign-offs, and what is promised of the part drawn at random."""

    deed = "can be drawn"
    name = forms.CharField(max_length=80, help_text="For example: first quarter.")
    first_day = DayField(label="Signed from")
    last_day = DayField(label="Signed until")
    cohort = forms.ModelChoiceField(
        Cohort.objects.none(), required=False, to_field_name="token", empty_label="Every cohort"
    )
    confidence = DecimalField(
        label="How sure in %", initial=Decimal(95), min_value=1, max_value=Decimal("99.9")
    )
    rate = DecimalField(
        label="That fewer are wrong than, in %",
        initial=Decimal(10),
        min_value=Decimal("0.1"),
        max_value=99,
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        cohorts = Cohort.objects.filter(academy=academy).order_by("-starts_on", "name")
        self.fields["cohort"].queryset = cohorts  # type: ignore[attr-defined]


class NameVerifierForm(BlockworkForm):
    """Who verifies a sign-off that another verifier had a part in."""

    deed = "can be named"
    verifier = PersonField(Person.objects.none(), to_field_name="token")
    reason = forms.CharField(max_length=200, label="Why", help_text="The verifier reads this.")

    def __init__(self, *args: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["verifier"].queryset = people  # type: ignore[attr-defined]


class AnswerForm(BlockworkForm):
    """What was done about an action a verifier asked for."""

    deed = "can be answered"
    text = forms.CharField(
        max_length=2000,
        label="What was done",
        help_text="The verifier reads this and looks again.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
