"""One row of the form a paper is set with: an exercise, its level, how many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.craft.exercise.engine import Level, family_of, made_from_a_module
from academy.craft.exercise.groups import Group, by_group
from academy.curriculum.models import ModuleVersion, ProductLabel
from academy.exercises.drawing import PartWanted
from academy.exercises.services.wanted import MOST_QUESTIONS
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.exercises.models import PaperPart
    from academy.people.models import Academy

LEVELS = {
    Level.FIRST: _("first: one step"),
    Level.WORKING: _("working: the whole sum"),
    Level.EXAM: _("exam: turned round, or a label decides"),
}
GROUPS = {
    Group.CALCULATION: _("Calculations"),
    Group.EYE: _("By eye, from a picture"),
    Group.ORDER: _("Putting steps in order"),
}


@dataclass(frozen=True)
class Offered:
    """What the rows of a paper choose from, by token: read once for all of them."""

    labels: Mapping[str, ProductLabel]
    versions: Mapping[str, ModuleVersion]

    @classmethod
    def by(cls, academy: Academy) -> Offered:
        """The labels and published modules of an academy. Two queries."""
        labels = ProductLabel.objects.filter(academy=academy).order_by("name")
        return cls(
            {row.token: row for row in labels},
            {row.token: row for row in published(academy)},
        )


def published(academy: Academy) -> Any:
    """The module versions that hold today, in the order of the curriculum."""
    return (
        ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
        .select_related("module")
        .order_by("module__position")
    )


class FamilySelect(forms.Select):
    """The exercises; `data-made` marks those that need a module, for the page to ask for it."""

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option = super().create_option(name, value, *args, **kwargs)
        if value in made_families():
            option["attrs"]["data-made"] = True
        return option


class PartForm(BlockworkForm):
    """One row of a paper."""

    family = forms.ChoiceField(label=_("Exercise"), widget=FamilySelect)
    level = forms.ChoiceField(label=_("Level"), choices=[(k.value, v) for k, v in LEVELS.items()])
    count = forms.IntegerField(
        label=_("Questions"), min_value=1, max_value=MOST_QUESTIONS, initial=2
    )
    label = forms.TypedChoiceField(label=_("Product label"), required=False, empty_value=None)
    module = forms.TypedChoiceField(
        label=_("Made from the steps of"),
        required=False,
        empty_value=None,
        help_text=_("Only for an exercise that is made from a module\u2019s own steps."),
    )

    def __init__(self, *args: Any, offered: Offered, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._choices("family", family_choices())
        self._choose_from("label", offered.labels, _("None"))
        self._choose_from("module", offered.versions, _("Choose a module"))
        self.fields["module"].required = str(self["family"].value()) in made_families()
        self.fields["count"].widget.attrs["inputmode"] = "numeric"

    def _choices(self, name: str, choices: Any) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _choose_from(self, name: str, rows: Mapping[str, Any], empty: Any) -> None:
        self._choices(name, [("", empty), *((token, str(row)) for token, row in rows.items())])
        self.fields[name].coerce = rows.get  # type: ignore[attr-defined]

    @property
    def number(self) -> str:
        return str(self.prefix).removeprefix("part-")

    def wanted(self) -> PartWanted:
        """The row as it is asked for; a module that the exercise has no use for is left out."""
        data = self.cleaned_data
        made = made_from_a_module(family_of(data["family"]))
        return PartWanted(
            data["family"],
            Level(data["level"]),
            data["count"],
            data["label"],
            data["module"] if made else None,
        )


def family_choices() -> list[tuple[Any, list[tuple[str, str]]]]:
    """The exercises under the headings of their groups; a group without any is not there."""
    return [
        (GROUPS[group], [(family.key, family.title) for family in found])
        for group, found in by_group().items()
        if found
    ]


def made_families() -> frozenset[str]:
    """The keys of the exercises that need a module."""
    return frozenset(
        family.key
        for found in by_group().values()
        for family in found
        if made_from_a_module(family)
    )


def row_of(part: PaperPart, current: Mapping[int, ModuleVersion]) -> dict[str, Any]:
    """A stored part as a row begins with it; `current` holds the published versions by module."""
    version = part.module_version
    now = current.get(version.module_id) if version else None
    return {
        "family": part.family,
        "level": part.level,
        "count": part.count,
        "label": part.label.token if part.label else "",
        "module": now.token if now else "",
    }
