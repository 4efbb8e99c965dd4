"""The form a paper is set with: what it is, and its parts as rows."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from academy.craft.exercise.engine import Level, families
from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion, ProductLabel
from academy.exercises.drawing import PartWanted
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper
from academy.exercises.seeds import new_seed, read_seed, seed_words
from academy.exercises.services.wanted import MOST_PARTS, MOST_QUESTIONS, Wanted
from academy.people.models import Cohort
from academy.web.forms import BlockworkForm, DayField, TokenField, UnitField

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.people.models import Academy
    from academy.web.forms import ErrorLine

LEVELS = {
    Level.FIRST: _("first: one step"),
    Level.WORKING: _("working: the whole sum"),
    Level.EXAM: _("exam: turned round, or a label decides"),
}
KINDS = (
    (Paper.Kind.PRACTICE, _("Practice: may be answered again, on new numbers")),
    (Paper.Kind.TEST, _("Test: answered once")),
)
NUMBERS = (
    ("own", _("Different numbers for each apprentice")),
    ("same", _("The same numbers for everybody")),
)
# Marks the paper's form as wrong while a part is; the lines of the part itself are shown.
LOOK_AT_PARTS = "Look at the parts."


class PartForm(BlockworkForm):
    """One row of a paper."""

    family = forms.ChoiceField(label=_("Exercise"))
    level = forms.ChoiceField(label=_("Level"), choices=[(k.value, v) for k, v in LEVELS.items()])
    count = forms.IntegerField(
        label=_("Questions"), min_value=1, max_value=MOST_QUESTIONS, initial=2
    )
    label = forms.ModelChoiceField(
        label=_("Product label"),
        queryset=ProductLabel.objects.none(),
        to_field_name="token",
        required=False,
        empty_label=_("None"),
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = [(family.key, family.title) for family in families()]
        self.fields["family"].choices = offered  # type: ignore[attr-defined]
        labels = ProductLabel.objects.filter(academy=academy).order_by("name")
        self.fields["label"].queryset = labels  # type: ignore[attr-defined]
        self.fields["count"].widget.attrs["inputmode"] = "numeric"

    @property
    def number(self) -> str:
        return str(self.prefix).removeprefix("part-")

    def wanted(self) -> PartWanted:
        data = self.cleaned_data
        return PartWanted(data["family"], Level(data["level"]), data["count"], data["label"])


class PaperForm(BlockworkForm):
    """A paper. `parts` are the rows that the post names in `row`; at first there is one."""

    deed = _("can be drawn")

    cohort = forms.ModelChoiceField(
        label=_("Cohort"),
        queryset=Cohort.objects.none(),
        to_field_name="token",
        empty_label=_("Choose a cohort"),
    )
    title = forms.CharField(label=_("Title"), max_length=120)
    kind = forms.ChoiceField(
        label=_("Kind"), choices=KINDS, widget=forms.RadioSelect, initial=Paper.Kind.PRACTICE
    )
    numbers = forms.ChoiceField(
        label=_("Numbers"), choices=NUMBERS, widget=forms.RadioSelect, initial="own"
    )
    due_on = DayField(label=_("Last day to hand in"), required=False)
    pass_share = UnitField(
        "%", label=_("Pass at"), min_value=1, max_value=100, places=0, example="75 %"
    )
    module_version = forms.ModelChoiceField(
        label=_("Belongs to module"),
        queryset=ModuleVersion.objects.none(),
        to_field_name="token",
        required=False,
        empty_label=_("None"),
        help_text=_("Apprentices pass it before they are ready for assessment in that module."),
    )
    seed = forms.CharField(
        label=_("Seed"),
        max_length=30,
        help_text=_("The same seed gives the same questions. Note it to set a paper again."),
    )
    key = TokenField()

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        academy: Academy,
        typed: QueryDict | None = None,
        asked: QueryDict | None = None,
    ) -> None:
        """`data` is checked; `typed` is only shown again, for a page that adds or takes a row.

        `asked`, the address of a new paper, may name the `family` and the `module` to begin with.
        """
        asked = asked or QueryDict()
        shown = typed if typed is not None else data
        super().__init__(data, initial=_initial(typed) if shown else _fresh(academy, asked))
        self.fields["cohort"].queryset = (  # type: ignore[attr-defined]
            Cohort.objects.filter(academy=academy).open().order_by("name")
        )
        self.fields["module_version"].queryset = (  # type: ignore[attr-defined]
            ModuleVersion.objects.filter(academy=academy, state=ModuleVersion.State.PUBLISHED)
            .select_related("module")
            .order_by("module__position")
        )
        self.parts = [
            PartForm(
                data,
                prefix=f"part-{row}",
                academy=academy,
                initial=_initial(typed, row) if shown else {"family": asked.get("family")},
            )
            for row in _rows(shown)
        ]

    def clean(self) -> dict[str, Any]:
        wrong = [part for part in self.parts if not part.is_valid()]
        if wrong:
            raise ValidationError(LOOK_AT_PARTS, code="parts")
        return self.cleaned_data

    def clean_seed(self) -> int:
        try:
            return read_seed(self.cleaned_data["seed"])
        except PaperError as error:
            raise ValidationError(error.message) from error

    def error_lines(self) -> list[ErrorLine]:
        """Every line of the paper and of its parts; the summary's link leads to the row."""
        lines = [line for line in super().error_lines() if line.message != LOOK_AT_PARTS]
        for number, part in enumerate(self.parts, 1):
            where = _("Part %(number)s") % {"number": number}
            lines += [replace(line, label=f"{where}, {line.label}") for line in part.error_lines()]
        return lines

    def wanted(self) -> Wanted:
        data = self.cleaned_data
        return Wanted(
            cohort=data["cohort"],
            title=data["title"],
            parts=[part.wanted() for part in self.parts],
            seed=data["seed"],
            same_numbers=data["numbers"] == "same",
            kind=data["kind"],
            due_on=data["due_on"],
            pass_share=int(data["pass_share"]),
            module_version=data["module_version"],
        )


def _fresh(academy: Academy, asked: QueryDict) -> Mapping[str, Any]:
    """What a new paper begins with. One query."""
    share = rules_today(academy).number("paper_pass_share")
    return {
        "seed": seed_words(new_seed()),
        "pass_share": share,
        "module_version": asked.get("module"),
    }


def _initial(typed: QueryDict | None, row: int | None = None) -> Mapping[str, Any]:
    if typed is None:
        return {}
    if row is None:
        return typed.dict()
    start = f"part-{row}-"
    return {k.removeprefix(start): v for k, v in typed.dict().items() if k.startswith(start)}


def _rows(data: QueryDict | None) -> list[int]:
    """The numbers of the rows, as many as may be; a post that names none has none."""
    if data is None:
        return [0]
    named = [int(row) for row in data.getlist("row") if row.isascii() and row.isdigit()]
    return list(dict.fromkeys(row for row in named if row < 1000))[: MOST_PARTS + 1]


def with_row(typed: QueryDict, act: str) -> QueryDict:
    """What was typed, with a row more ("add"), a row less ("remove-2") or another seed."""
    changed = typed.copy()
    rows = _rows(typed)
    if act == "add":
        rows.append(max(rows, default=-1) + 1)
    elif act == "reseed":
        changed["seed"] = seed_words(new_seed())
    else:
        rows = [row for row in rows if act != f"remove-{row}"]
    changed.setlist("row", [str(row) for row in rows])
    return changed
