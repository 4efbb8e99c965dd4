"""The form a paper is set with: what it is, and its parts as rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper
from academy.exercises.part_form import Offered, PartForm, made_families, published, row_of
from academy.exercises.seeds import new_seed, read_seed, seed_words
from academy.exercises.services.wanted import MOST_MINUTES, MOST_PARTS, Wanted
from academy.people.models import Cohort
from academy.web.forms import BlockworkForm, DayField, TokenField, UnitField

if TYPE_CHECKING:
    from academy.people.models import Academy
    from academy.web.forms import ErrorLine
    from academy.web.refused import Refused

KINDS = (
    (Paper.Kind.PRACTICE, _("Practice: answered as often as one likes, the solution at once")),
    (Paper.Kind.TEST, _("Test: answered once, the solution is shown when it is closed")),
)
NUMBERS = (
    ("own", _("Different numbers for each apprentice")),
    ("same", _("The same numbers for everybody")),
)
# Marks the paper's form as wrong while a part is; the lines of the part itself are shown.
LOOK_AT_PARTS = "Look at the parts."


class FollowUpForm(BlockworkForm):
    """All that is asked of a follow-up: what it asks is known."""

    deed = _("can be set")

    due_on = DayField(label=_("Last day to hand in"), required=False)
    key = TokenField()


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
    minutes = UnitField(
        "min",
        label=_("Time for a test"),
        required=False,
        min_value=1,
        max_value=MOST_MINUTES,
        places=0,
        example="40 min",
        help_text=_("Counted from when each begins."),
    )
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
    edition = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        data: QueryDict | None = None,
        *,
        academy: Academy,
        typed: QueryDict | None = None,
        asked: QueryDict | None = None,
        like: Paper | None = None,
        editing: Paper | None = None,
    ) -> None:
        """`data` is checked; `typed` is only shown again, for a page that adds or takes a row.

        A new paper begins with what `asked`, its address, names (`family`, `module`), or as one
        `like` another with other numbers; `editing` is a paper that is changed.
        """
        shown = typed if typed is not None else data
        offered = Offered.by(academy)
        first, rows = _beginning(academy, asked or QueryDict(), editing or like, offered)
        if editing is not None:
            first |= _of_this(editing)
        super().__init__(data, initial=_initial(typed) if shown is not None else first)
        self.fields["cohort"].queryset = (  # type: ignore[attr-defined]
            Cohort.objects.filter(academy=academy).open().order_by("name")
        )
        self.fields["module_version"].queryset = published(academy)  # type: ignore[attr-defined]
        if shown is not None:
            rows = {row: _initial(typed, row) for row in _rows(shown)}
        self.parts = [
            PartForm(data, prefix=f"part-{row}", offered=offered, initial=initial)
            for row, initial in rows.items()
        ]

    def refuse(self, refused: Refused) -> None:
        """Show a refusal beside its field; that of a part in its row, which keeps what it has."""
        part = refused.part if isinstance(refused, PaperError) else None
        if part is None:
            super().refuse(refused)
            return
        row = self.parts[part - 1]
        row.add_error(refused.field if refused.field in row.fields else "family", refused.message)
        self.add_error(None, ValidationError(LOOK_AT_PARTS, code="parts"))

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
            minutes=None if data["minutes"] is None else int(data["minutes"]),
            pass_share=int(data["pass_share"]),
            module_version=data["module_version"],
        )


Rows = dict[int, Mapping[str, Any]]


def _beginning(
    academy: Academy, asked: QueryDict, like: Paper | None, offered: Offered
) -> tuple[dict[str, Any], Rows]:
    """What a form that nobody has typed in begins with, and its rows. At most two queries."""
    seed = {"seed": seed_words(new_seed())}
    if like is not None:
        current = {version.module_id: version for version in offered.versions.values()}
        parts = like.parts.filter(apprentice__isnull=True)
        stored = parts.select_related("label", "module_version")
        rows: Rows = {row: row_of(part, current) for row, part in enumerate(stored)}
        return _like(like, current) | seed, rows or {0: {}}
    module = asked.get("module")
    wanted = asked.getlist("family")[:MOST_PARTS] or [""]
    made = made_families()
    rows = {
        row: {"family": family, "module": module if family in made else ""}
        for row, family in enumerate(wanted)
    }
    share = rules_today(academy).number("paper_pass_share")
    return {"pass_share": share, "module_version": module} | seed, rows


def _like(paper: Paper, current: Mapping[int, ModuleVersion]) -> dict[str, Any]:
    version = paper.module_version
    now = current.get(version.module_id) if version else None
    return {
        "cohort": paper.cohort.token,
        "title": paper.title,
        "kind": paper.kind,
        "numbers": "same" if paper.same_numbers else "own",
        "minutes": paper.minutes,
        "pass_share": paper.pass_share,
        "module_version": now.token if now else "",
    }


def _of_this(paper: Paper) -> dict[str, Any]:
    """What only the paper itself keeps, and another like it does not."""
    return {"seed": seed_words(paper.seed), "due_on": paper.due_on, "edition": paper.edition}


def _initial(typed: QueryDict | None, row: int | None = None) -> Mapping[str, Any]:
    if typed is None:
        return {}
    if row is None:
        return typed.dict()
    start = f"part-{row}-"
    return {k.removeprefix(start): v for k, v in typed.dict().items() if k.startswith(start)}


def _rows(data: QueryDict) -> list[int]:
    """The numbers of the rows, as many as may be; a post that names none has none."""
    given = (row for row in data.getlist("row") if len(row) < 4)
    named = [int(row) for row in given if row.isascii() and row.isdigit()]
    return list(dict.fromkeys(named))[: MOST_PARTS + 1]


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
