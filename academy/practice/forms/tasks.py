"""Setting a task, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.text import capfirst

from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit
from academy.curriculum.models import Module, ModuleVersion
from academy.people.models import Membership, Person, Role
from academy.practice.services.tasks import MOST_COUNT, Wanted
from academy.web.forms import BlockworkForm, DayField

if TYPE_CHECKING:
    from academy.people.models import Academy


class TaskForm(BlockworkForm):
    """How many of what, where, for whom, until when."""

    deed = "can be set"
    module = forms.ModelChoiceField(Module.objects.none(), to_field_name="token")
    count = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST_COUNT,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    unit = forms.ChoiceField(
        label="Of what", choices=[(unit.value, capfirst(unit.value)) for unit in PracticeUnit]
    )
    zone = forms.ChoiceField(
        label="Zone",
        required=False,
        choices=[("", "Anywhere"), *((zone.value, capfirst(zone.words)) for zone in Zone)],
        help_text="With a zone, only sessions that name it count.",
    )
    due_on = DayField(label="By which day")
    note = forms.CharField(
        required=False,
        max_length=400,
        label="Note to the apprentice",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    apprentices = forms.ModelMultipleChoiceField(
        Person.objects.none(),
        to_field_name="token",
        label="For whom",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one apprentice."},
    )

    def __init__(self, *args: Any, academy: Academy, educator: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        published = ModuleVersion.objects.filter(
            academy=academy, state=ModuleVersion.State.PUBLISHED
        ).order_by("module__position")
        titles = dict(published.values_list("module", "title"))
        modules: Any = self.fields["module"]
        modules.queryset = Module.objects.filter(pk__in=titles)
        modules.label_from_instance = lambda module: titles[module.pk]
        members = Membership.objects.current().filter(academy=academy, role=Role.APPRENTICE)
        people = Person.objects.filter(memberships__in=members).exclude(pk=educator.pk)
        self.fields["apprentices"].queryset = people.distinct().order_by("name")  # type: ignore[attr-defined]

    def wanted(self) -> Wanted:
        data = self.cleaned_data
        return Wanted(
            count=data["count"],
            unit=PracticeUnit(data["unit"]),
            due_on=data["due_on"],
            zone=data["zone"],
            note=data["note"],
        )


class WithdrawForm(BlockworkForm):
    """Why a task is taken back."""

    deed = "can be taken back"
    reason = forms.CharField(max_length=400, label="Why", help_text="The apprentice reads this.")
