"""A photo and why it may be kept."""

from __future__ import annotations

from typing import Any

from django import forms

from academy.assessment.models import Photo
from academy.web.forms import BlockworkForm, TokenField


class PhotoForm(BlockworkForm):
    """One photo of the head, or of the paper sheet that was marked instead."""

    deed = "can be kept"
    photo = forms.FileField(
        label="Photo",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    shows: forms.Field = forms.ChoiceField(label="It shows", choices=Photo.Shows.choices)
    allowed = forms.ChoiceField(
        label="It may be kept because",
        choices=Photo.Allowed.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": "A face is personal: crop it out, or record consent first. Then say which."
        },
    )
    key = TokenField()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_photo_%s", **kwargs)

    def sent(self) -> dict[str, Any]:
        """What the service asks for."""
        data = self.cleaned_data
        return {
            "upload": data["photo"],
            "shows": data["shows"],
            "allowed": data["allowed"],
            "client_key": data["key"],
        }


class ReferencePhotoForm(PhotoForm):
    """One photo of a reference head, with what it shows in words."""

    shows = forms.CharField(
        label="It shows", max_length=120, help_text="For example: nape, third parting."
    )

    def kept(self) -> dict[str, str]:
        """What was typed, for the next try after a refusal; empty where the photo was taken."""
        if not self.errors:
            return {}
        return {name: self.data.get(name, "") for name in ("shows", "allowed")}
