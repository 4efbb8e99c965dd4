"""Forms of feedback and of the apprentice's answer to it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import timezone

from academy.assessment.boxes import WHOLE_HEAD, Boxes, point_prefix
from academy.assessment.editions import edition_of
from academy.craft.judging.scale import Level
from academy.web.forms import BlockworkForm, DayField

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion


class BoxesForm(BlockworkForm):
    """The four boxes of one point; a half-filled box is kept and does not count.

    `number` is its place on the page, from 1: the names of its fields come from it.
    """

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
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    next_number = forms.IntegerField(required=False, min_value=1, max_value=200, label="How many")
    next_on = DayField(required=False, label="By which day")
    note = forms.CharField(
        required=False,
        max_length=2000,
        label="Free note",
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, version: ModuleVersion, number: int = 1, **kwargs: Any) -> None:
        super().__init__(*args, prefix=point_prefix(number), **kwargs)
        self.number = number
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

    @property
    def now(self) -> Boxes:
        """As just typed, or as kept; a field at fault counts as empty."""
        if self.is_bound:
            self.is_valid()
            return self.boxes()
        return Boxes(**{part: self.initial[part] for part in Boxes.__dataclass_fields__})

    @property
    def may_drop(self) -> bool:
        """Whether this point may be taken away; one that was given may not."""
        return True

    @property
    def phrase_name(self) -> str:
        """What the buttons of its phrases are called."""
        return self.add_prefix("phrase")

    @property
    def drop_name(self) -> str:
        return self.add_prefix("drop")


class GivenBoxesForm(BoxesForm):
    """A point that was given, to be corrected, or one that is added to those given.

    `of` is the row that it corrects, empty where it is added.
    """

    # What was to be done by a day that is over is corrected with that day.
    may_keep_day = True
    of = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, given: Collection[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.given = given

    def clean_of(self) -> str:
        of: str = self.cleaned_data["of"]
        if of and of not in self.given:
            raise forms.ValidationError("This feedback is not of this head. Open the page again.")
        return of

    @property
    def may_drop(self) -> bool:
        return not self["of"].value()


class WhyCorrectedForm(BlockworkForm):
    """The reason of a correction; who only adds a point need give none."""

    reason = forms.CharField(
        required=False,
        max_length=200,
        label="Why you correct it",
        help_text="Needed where words that were given change, for example: the date was missing.",
    )


class AcknowledgeForm(BlockworkForm):
    """Read, and perhaps seen differently."""

    disagrees = forms.BooleanField(required=False, label="I see something differently")
    note = forms.CharField(
        required=False,
        max_length=1000,
        label="What you see differently",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


def initial_points(assessment: Assessment) -> list[Boxes]:
    """The points that the draft holds."""
    draft = getattr(assessment, "feedback_draft", None)
    return [Boxes.from_json(point) for point in draft.points] if draft else []
