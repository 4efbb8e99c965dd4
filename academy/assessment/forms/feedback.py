"""Forms of feedback and of the apprentice's answer to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import timezone

from academy.assessment.boxes import WHOLE_HEAD, Boxes
from academy.assessment.editions import edition_of
from academy.craft.judging.scale import Level
from academy.web.forms import BlockworkForm, DayField

if TYPE_CHECKING:
    from datetime import date

    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion


class BoxesForm(BlockworkForm):
    """The four boxes of feedback; a half-filled box is kept and does not count."""

    may_keep_day = False

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
        label="Free note",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, version: ModuleVersion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.deed = "can be submitted" if "submit" in self.data else "can be kept"
        for field in self.fields.values():
            # The browser would cut a text that is too long without a word.
            field.widget.attrs.pop("maxlength", None)
        edition = edition_of(version)
        zones = [(zone.value, zone.words) for zone in edition.judged]
        self.fields["seen_zone"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            *zones,
            (WHOLE_HEAD, "the whole head"),
        ]
        self.fields["against_criterion"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            *((c.code, f"{c.code} {c.title}") for c in edition.criteria),
        ]

    def clean_next_on(self) -> date | None:
        """A day to come; one that stood before may stay."""
        day: date | None = self.cleaned_data["next_on"]
        kept = self.may_keep_day and day == self.initial.get("next_on")
        if day is not None and day < timezone.localdate() and not kept:
            raise forms.ValidationError("This day is past. Give a later one.")
        return day

    def boxes(self) -> Boxes:
        """What is in the boxes; a field that was not understood is left empty."""
        data = self.cleaned_data
        return Boxes(**{name: data[name] for name in Boxes.__dataclass_fields__ if name in data})


class CorrectionForm(BoxesForm):
    """The boxes again, with the reason of the correction."""

    # What was to be done by a day that is over is corrected with that day.
    may_keep_day = True
    reason = forms.CharField(max_length=200, label="Why you correct it")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.deed = "can be corrected"


class AcknowledgeForm(BlockworkForm):
    """Read, and perhaps seen differently."""

    disagrees = forms.BooleanField(required=False, label="I see something differently")
    note = forms.CharField(
        required=False,
        max_length=1000,
        label="What you see differently",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


def initial_boxes(assessment: Assessment) -> dict[str, Any]:
    """What the draft of the boxes holds."""
    draft = getattr(assessment, "feedback_draft", None)
    return dict(Boxes.from_json(draft.boxes).__dict__) if draft else {}
