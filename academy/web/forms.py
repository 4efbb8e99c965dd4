"""Base of every form: plain sentences, an error summary with links, crispy in our look.

`{% crispy form %}` prints csrf token, error summary and fields; the page writes the `<form>` and
the button, because the button often lies in the foot bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from crispy_forms.helper import FormHelper
from django import forms
from django.contrib.humanize.templatetags.humanize import apnumber
from django.core.exceptions import NON_FIELD_ERRORS
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _, ngettext

from academy.web.fields import (
    DayField,
    DecimalField,
    LevelField,
    MomentField,
    TimeField,
    TokenField,
    UnitField,
    ZonesField,
)

__all__ = [
    "BlockworkForm",
    "DayField",
    "DecimalField",
    "LevelField",
    "MomentField",
    "TimeField",
    "TokenField",
    "UnitField",
    "ZonesField",
]

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

    from academy.web.refused import Refused

# Django's own sentences, said our way. A field that brings its own keeps it.
PLAIN_WORDS: dict[str, Any] = {
    "required": _("Nothing here yet. This is needed."),
    "max_length": _("Too long: %(show_value)d characters, and %(limit_value)d fit. Shorten it."),
    "min_length": _("Too short: at least %(limit_value)d characters are needed."),
    "invalid_choice": _("This is not on the list any more. Choose again."),
    "invalid_list": _("This is not on the list any more. Choose again."),
}
PLAIN_WORDS_FOR: tuple[tuple[type[forms.Field], dict[str, Any]], ...] = (
    (
        forms.EmailField,
        {"invalid": _("Not an e-mail address. Write it whole, for example name@example.org.")},
    ),
    (
        forms.IntegerField,
        {
            "invalid": _("Give a whole number, for example 12."),
            "min_value": _("Too low. The least that is taken here is %(limit_value)s."),
            "max_value": _("Too high. The most that is taken here is %(limit_value)s."),
        },
    ),
    (forms.ChoiceField, {"required": _("Nothing chosen yet. Choose one.")}),
    (forms.ModelChoiceField, {"required": _("Nothing chosen yet. Choose one.")}),
    (forms.FileField, {"required": _("No file yet. Choose one.")}),
    (forms.BooleanField, {"required": _("Tick this to go on.")}),
)
_NOTHING_CHOSEN = "---------"  # what Django shows unless a form says otherwise
_OWN = (DecimalField, DayField, TimeField, MomentField, TokenField)


@dataclass(frozen=True)
class ErrorLine:
    """One line of the error summary."""

    label: str
    message: str
    href: str


class PlainForm(forms.BaseForm):
    """What both form bases share."""

    deed: StrOrPromise = _("can be saved")
    use_required_attribute = False  # our sentences, not the browser's

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            speak_plainly(field)

    @property
    def helper(self) -> FormHelper:
        helper = FormHelper(self)
        helper.form_tag = False
        helper.error_text_inline = True
        return helper

    def refuse(self, refused: Refused) -> None:
        """Show a service's refusal beside its field, or above the form."""
        field = refused.field if refused.field in self.fields else None
        self.add_error(field, refused.message)

    def error_title(self) -> str:
        """For example: Two lines need you before this can be saved."""
        return summary_title(len(self.error_lines()), self.deed)

    def error_lines(self) -> list[ErrorLine]:
        return [
            self._line(name, str(message))
            for name, messages in self.errors.items()
            for message in messages
        ]

    def _line(self, name: str, message: str) -> ErrorLine:
        if name == NON_FIELD_ERRORS:
            return ErrorLine("", message, "")
        bound = self[name]
        if bound.is_hidden:
            return ErrorLine("", message, "")
        if not bound.use_fieldset:
            target = bound.id_for_label or bound.auto_id
        else:
            # A group from which nothing can be chosen has no box to lead to, only itself.
            boxes = bound.subwidgets
            first = boxes[0].id_for_label or bound.auto_id if boxes else ""
            target = first or f"div_{bound.auto_id}"
        return ErrorLine(str(bound.label), message, f"#{target}")


class BlockworkForm(PlainForm, forms.Form):
    """Base of every form."""


def summary_title(count: int, deed: StrOrPromise) -> str:
    """The heading over so many lines at fault, of one form or of several on a page."""
    words = ngettext("%(count)s line needs you", "%(count)s lines need you", count)
    words %= {"count": capfirst(str(apnumber(count)))}
    return f"{words} {_('before this')} {deed}"


def speak_plainly(field: forms.Field) -> None:
    """Replace Django's standard sentences on one field; sentences given to it stay."""
    if isinstance(field, _OWN):
        return
    if isinstance(field, forms.ModelChoiceField) and field.empty_label == _NOTHING_CHOSEN:
        field.empty_label = _("Choose one")
    standard = {
        code: message
        for cls in reversed(type(field).__mro__)
        for code, message in getattr(cls, "default_error_messages", {}).items()
    }
    words = dict(PLAIN_WORDS)
    for kind, more in PLAIN_WORDS_FOR:
        if isinstance(field, kind):
            words |= more
    for code, message in words.items():
        if field.error_messages.get(code) in (None, standard.get(code)):
            field.error_messages[code] = message
