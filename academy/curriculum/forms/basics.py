"""What a module is as a whole, and the first words of a new one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.head.zones import Zone
from academy.curriculum.content import ModuleContent, TimePer
from academy.curriculum.content.checking import HEADS, MINUTES, MONTHS
from academy.curriculum.content.limits import LONGEST
from academy.curriculum.reference import cautions, family_titles
from academy.web.forms import BlockworkForm, UnitField, ZonesField

if TYPE_CHECKING:
    from collections.abc import Mapping

_MOST = LONGEST[ModuleContent]
TIMES = [
    (TimePer.WORK.value, _("the whole work")),
    (TimePer.FOIL.value, _("one foil")),
    (TimePer.CHECK.value, _("one check")),
    (TimePer.PLAN.value, _("one plan")),
]


class ModuleStartForm(BlockworkForm):
    """A new module: its title and the short name that stays for good."""

    deed = _("can be started")

    title = forms.CharField(label=_("Title"), max_length=_MOST["title"])
    key = forms.CharField(
        label=_("Short name"),
        max_length=_MOST["key"],
        help_text=_(
            "Small letters, digits and hyphens, for example foil-folding. It never changes."
        ),
    )


class BasicsForm(BlockworkForm):
    """`modules` are the titles of the modules that can be needed, by key."""

    title = forms.CharField(label=_("Title"), max_length=_MOST["title"], required=False)
    purpose = forms.CharField(
        label=_("Purpose, in one sentence"),
        max_length=_MOST["purpose"],
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    time_minutes = UnitField(
        "min",
        label=_("Time allowed"),
        min_value=MINUTES[0],
        max_value=MINUTES[1],
        places=1,
        example="35 min",
    )
    time_per = forms.ChoiceField(label=_("It is for"), choices=TIMES)
    time_note = forms.CharField(
        label=_("Note on the time"), max_length=_MOST["time_note"], required=False
    )
    heads_required = forms.IntegerField(
        label=_("Heads in a row before sign-off"), min_value=HEADS[0], max_value=HEADS[1]
    )
    months_valid = forms.IntegerField(
        label=_("Months a sign-off stays in date"), min_value=MONTHS[0], max_value=MONTHS[1]
    )
    judged_zones = ZonesField(label=_("Judged zones"), required=False)
    needs = forms.MultipleChoiceField(
        label=_("Comes after"), required=False, widget=forms.CheckboxSelectMultiple
    )
    families = forms.MultipleChoiceField(
        label=_("Exercise families"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=lambda: list(family_titles().items()),
    )
    cautions = forms.MultipleChoiceField(
        label=_("Cautions printed on the sheet"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=lambda: [
            (caution.id, f"{caution.id} {caution.text}")
            for caution in cautions()
            if not caution.everywhere
        ],
    )

    def __init__(self, *args: Any, modules: Mapping[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        needs = self.fields["needs"]
        assert isinstance(needs, forms.MultipleChoiceField)  # noqa: S101  (declared above)
        needs.choices = list(modules.items())

    @property
    def changes(self) -> dict[str, Any]:
        """The cleaned values as fields of `ModuleContent`."""
        given = self.cleaned_data
        return {
            **given,
            "time_per": TimePer(given["time_per"]),
            "judged_zones": tuple(Zone(zone) for zone in given["judged_zones"]),
            "needs": tuple(given["needs"]),
            "families": tuple(given["families"]),
            "cautions": tuple(given["cautions"]),
        }

    @staticmethod
    def initial_of(content: ModuleContent) -> dict[str, Any]:
        named = {name: getattr(content, name) for name in BasicsForm.base_fields}
        return {
            **named,
            "time_per": content.time_per.value,
            "judged_zones": [zone.value for zone in content.judged_zones],
        }
