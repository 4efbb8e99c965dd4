"""Forms at the chair: faults, time and note, a stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.text import capfirst

from academy.assessment.editions import edition_of
from academy.assessment.mark_text import fault_choice
from academy.assessment.services.faults import MOST_IN_NOTE as MOST_IN_NOTE_OF_MARK
from academy.assessment.services.scoring import MOST_IN_NOTE, MOST_MINUTES
from academy.craft.head.sheet import VIEWS
from academy.craft.head.zones import Zone
from academy.curriculum.reference import practice_faults, stop_events
from academy.web.forms import BlockworkForm, TokenField

if TYPE_CHECKING:
    from academy.assessment.models import FaultMark
    from academy.curriculum.models import ModuleVersion


NOT_READ = dict.fromkeys(
    ("invalid", "invalid_choice", "required"), "That tap was not read. Tap the head once more."
)


class _FaultForm(BlockworkForm):
    """Which fault it is."""

    deed = "can be marked"
    fault = forms.ChoiceField(label="Which fault")
    note = forms.CharField(required=False, max_length=MOST_IN_NOTE_OF_MARK, label="Note")

    def __init__(self, *args: Any, version: ModuleVersion, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = [
            (f"own-{fault.position}", capfirst(fault.fault)) for fault in edition_of(version).faults
        ]
        common = [(fault.id, capfirst(fault.word)) for fault in practice_faults()]
        groups = [("This module", own)] if own else []
        self.fields["fault"].choices = [  # type: ignore[attr-defined]
            ("", "Choose one"),
            *groups,
            ("Every sheet", common),
        ]


class FaultForm(_FaultForm):
    """Which fault, and where: a tap on a view, or the middle of a zone.

    For a mark that is there it asks only which fault it stands for.
    """

    view = forms.CharField(required=False, max_length=5, widget=forms.HiddenInput)
    u = forms.FloatField(required=False, widget=forms.HiddenInput, error_messages=NOT_READ)
    v = forms.FloatField(required=False, widget=forms.HiddenInput, error_messages=NOT_READ)
    zone = forms.ChoiceField(
        required=False, label="Zone", choices=[(zone.value, zone.words) for zone in Zone]
    )
    key = TokenField()
    field_order = ("fault", "zone", "note")

    def __init__(
        self, *args: Any, version: ModuleVersion, mark: FaultMark | None = None, zone: str = ""
    ) -> None:
        initial = {"zone": zone}
        if mark is not None:
            initial = {"fault": fault_choice(mark, version), "note": mark.note}
        # Another note stands on the same page.
        super().__init__(*args, auto_id="id_fault_%s", version=version, initial=initial)


class FaultBackForm(_FaultForm):
    """A mark that was taken off, as it was."""

    azimuth = forms.FloatField(min_value=-180, max_value=180)
    elevation = forms.FloatField(min_value=-90, max_value=90)
    number = forms.IntegerField(min_value=1, max_value=999)
    key = TokenField()


class TapForm(BlockworkForm):
    """A tap on a view of the head, in mm on its paper."""

    view = forms.ChoiceField(choices=[(view, view) for view in VIEWS], error_messages=NOT_READ)
    u = forms.FloatField(error_messages=NOT_READ)
    v = forms.FloatField(error_messages=NOT_READ)


class NotesForm(BlockworkForm):
    """Minutes used and a free note."""

    deed = "can be kept"
    minutes_used = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=MOST_MINUTES,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={"invalid": "Give the minutes as a whole number, for example 55."},
    )
    note = forms.CharField(
        required=False,
        max_length=MOST_IN_NOTE,
        # What the tablet's own keyboard and dictation go by.
        widget=forms.Textarea(
            attrs={"rows": 3, "inputmode": "text", "autocapitalize": "sentences"}
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            # What stands on the site, for the outbox of the page.
            field.widget.attrs["data-stands"] = (
                "" if self.initial.get(name) is None else str(self.initial[name])
            )


class StopForm(BlockworkForm):
    """A stop event, with what was seen."""

    deed = "ends the head"
    event = forms.ChoiceField(
        label="What happened",
        choices=[(event.id, event.text) for event in stop_events()],
        widget=forms.RadioSelect,
    )
    note = forms.CharField(required=False, max_length=400, label="What you saw")
