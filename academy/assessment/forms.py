"""Forms of bookings, assessments and decisions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.assessment.boxes import WHOLE_HEAD, Boxes
from academy.assessment.models import Assessment, Verification
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import Level
from academy.curriculum.models import ModuleVersion
from academy.curriculum.reference import practice_faults, stop_events
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
        self.fields["module"].label_from_instance = lambda version: version.title  # type: ignore[attr-defined]


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


class FaultForm(BlockworkForm):
    """Which fault, and where: a tap on a view, or the middle of a zone."""

    deed = "can be marked"
    fault = forms.ChoiceField(label="Which fault")
    view = forms.CharField(required=False, max_length=5, widget=forms.HiddenInput)
    u = forms.FloatField(required=False, widget=forms.HiddenInput)
    v = forms.FloatField(required=False, widget=forms.HiddenInput)
    zone = forms.ChoiceField(
        required=False, label="Zone", choices=[(zone.value, zone.words) for zone in Zone]
    )
    note = forms.CharField(required=False, max_length=200, label="Note (may stay empty)")

    def __init__(self, *args: Any, version: ModuleVersion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = [(f"own-{fault.position}", fault.fault) for fault in version.faults.all()]
        common = [(fault.id, fault.word) for fault in practice_faults()]
        self.fields["fault"].choices = [  # type: ignore[attr-defined]
            ("This module", own),
            ("Every sheet", common),
        ]


class NotesForm(BlockworkForm):
    """Minutes used and a free note."""

    minutes_used = forms.IntegerField(required=False, min_value=0, max_value=720)
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )


class StopForm(BlockworkForm):
    """A stop event, with what was seen."""

    deed = "ends the head"
    event = forms.ChoiceField(
        label="What happened",
        choices=[(event.id, event.text) for event in stop_events()],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(required=False, max_length=400, label="What you saw (may stay empty)")


class BoxesForm(BlockworkForm):
    """The four boxes of feedback; a half-filled box is kept and does not count."""

    deed = "can be kept"
    seen_zone = forms.ChoiceField(required=False, label="Where")
    seen_what = forms.CharField(
        required=False,
        max_length=400,
        label="What was seen",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    against_criterion = forms.ChoiceField(required=False, label="Criterion")
    against_level = forms.TypedChoiceField(
        required=False,
        label="Level",
        coerce=int,
        empty_value=None,
        choices=[("", "–"), *((level.value, f"{level:d} {level.word}") for level in Level)],
    )
    why = forms.CharField(
        required=False,
        max_length=400,
        label="What the hands did",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    next_action = forms.CharField(
        required=False,
        max_length=300,
        label="What to do next",
        help_text="For example: nape panels at 3 mm.",
    )
    next_number = forms.IntegerField(required=False, min_value=1, max_value=200, label="How many")
    next_on = DayField(required=False, label="By which day")
    note = forms.CharField(
        required=False,
        max_length=2000,
        label="Free note (may stay empty)",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, version: ModuleVersion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zones = [(zone.value, zone.words) for zone in Zone if zone.value in version.judged_zones]
        self.fields["seen_zone"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            *zones,
            (WHOLE_HEAD, "the whole head"),
        ]
        self.fields["against_criterion"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            *((c.code, f"{c.code} {c.title}") for c in version.criteria.all()),
        ]

    def boxes(self) -> Boxes:
        data = self.cleaned_data
        return Boxes(**{name: data[name] for name in Boxes.__dataclass_fields__})


class CorrectionForm(BoxesForm):
    """The boxes again, with the reason of the correction."""

    deed = "can be corrected"
    reason = forms.CharField(max_length=200, label="Why you correct it")


class AcknowledgeForm(BlockworkForm):
    """Read, and perhaps seen differently."""

    disagrees = forms.BooleanField(required=False, label="I see something differently")
    note = forms.CharField(
        required=False,
        max_length=1000,
        label="What (needed if you see it differently)",
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
        required=False,
        label="Your password again",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class VerifyForm(BlockworkForm):
    """What a verifier decides about a sign-off."""

    deed = "can be recorded"
    result = forms.ChoiceField(
        label="Decision", choices=Verification.Result.choices, widget=forms.RadioSelect
    )
    text = forms.CharField(
        required=False,
        max_length=2000,
        label="What is to be done, or why it cannot stand",
        help_text="Needed unless it is upheld. The assessor reads this.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    due_on = DayField(required=False, label="Done by (for an action)")


def chosen_fault(version: ModuleVersion, choice: str) -> tuple[Any, str]:
    """From a choice of `FaultForm`: the module's own fault, or the common one's id."""
    if choice.startswith("own-"):
        return version.faults.filter(position=choice.removeprefix("own-")).first(), ""
    return None, choice


def initial_boxes(assessment: Assessment) -> dict[str, Any]:
    """What the draft of the boxes holds."""
    draft = getattr(assessment, "feedback_draft", None)
    return dict(Boxes.from_json(draft.boxes).__dict__) if draft else {}
