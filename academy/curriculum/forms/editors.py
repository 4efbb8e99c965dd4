"""Editing one part of a draft: its forms, how they are arranged, and what the page has seen.

Rows are added, moved and taken out by buttons of the form itself, so that it works without a
script: such a press only arranges what was typed, nothing is saved until "Save".
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext_lazy as _, ngettext

from academy.curriculum.content import Difference, ModuleContent, differences
from academy.curriculum.forms.basics import BasicsForm
from academy.curriculum.forms.parts import (
    CriterionForm,
    FaultForm,
    PartForm,
    SheetForm,
    StepForm,
    TargetForm,
)
from academy.curriculum.keeping import MOST_PARTS
from academy.curriculum.rows import fingerprint
from academy.web.forms import ErrorLine

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from django.http import QueryDict
    from django.utils.functional import Promise

    from academy.curriculum.errors import CurriculumError

BASICS = "basics"
# Key of a part, its title, the word for one of it, its form.
ROW_PARTS: Mapping[str, tuple[str | Promise, str | Promise, type[PartForm]]] = {
    "sheets": (_("Head sheets"), _("sheet"), SheetForm),
    "steps": (_("Steps"), _("step"), StepForm),
    "criteria": (_("Criteria"), _("criterion"), CriterionForm),
    "faults": (_("Faults"), _("fault"), FaultForm),
    "targets": (_("Practice target"), _("target"), TargetForm),
}
PART_TITLES: Mapping[str, str | Promise] = {
    BASICS: _("Basics"),
    **{key: title for key, (title, _one, _form) in ROW_PARTS.items()},
}
_DO = re.compile(r"(up|down|out)-(\d{1,3})")


class Editor:
    """What the basics and the rows share: errors on top, what was seen, what stands now."""

    def __init__(self, part: str, content: ModuleContent, names: Sequence[str]) -> None:
        self.part, self.stored, self.names = part, content, names
        self.title = PART_TITLES[part]
        self.seen = fingerprint(content, names)
        self.sent_seen = ""
        self.wants_save = False
        self.notice: str | Promise = ""
        self.refusals: list[str] = []
        self.standing: list[Difference] = []

    @property
    def forms(self) -> list[Any]:
        raise NotImplementedError

    @property
    def changes(self) -> dict[str, Any]:
        raise NotImplementedError

    @property
    def is_valid(self) -> bool:
        return all(form.is_valid() for form in self.forms)

    def refuse(self, error: CurriculumError) -> None:
        """Show a service's refusal: beside the fields its problems name, else on top."""
        for problem in error.problems:
            if not self._place(problem.path, problem.sentence):
                self.refusals.append(problem.sentence)
        if not error.problems:
            self.refusals.append(error.message)

    def stale(self, message: str, now: ModuleContent) -> None:
        """Keep what was typed, show what stands now, let the next save overwrite it knowingly."""
        self.refusals.append(message)
        self.seen = fingerprint(now, self.names)
        self.standing = differences(replace(now, **self.changes), now)

    def _place(self, path: str, sentence: str) -> bool:
        raise NotImplementedError

    @property
    def errors(self) -> list[ErrorLine]:
        return self.error_lines()

    def error_lines(self) -> list[ErrorLine]:
        refused = [ErrorLine("", sentence, "") for sentence in self.refusals]
        return refused + [line for form in self.forms for line in form.error_lines()]

    def error_title(self) -> str:
        count = len(self.error_lines())
        words = ngettext("One line needs you", "%(count)d lines need you", count)
        return f"{words % {'count': count}} {_('before this can be saved')}"


class BasicsEditor(Editor):
    def __init__(
        self, content: ModuleContent, data: QueryDict | None, modules: Mapping[str, str]
    ) -> None:
        super().__init__(BASICS, content, tuple(BasicsForm.base_fields))
        absent = {key: f"{key} (not published)" for key in content.needs if key not in modules}
        self.form = BasicsForm(
            data, initial=BasicsForm.initial_of(content), modules={**modules, **absent}
        )
        if data is not None:
            self.sent_seen, self.wants_save = data.get("seen", ""), True

    @property
    def forms(self) -> list[BasicsForm]:
        return [self.form]

    @property
    def changes(self) -> dict[str, Any]:
        return self.form.changes

    def _place(self, path: str, sentence: str) -> bool:
        if path not in self.form.fields:
            return False
        self.form.add_error(path, sentence)
        return True


class RowsEditor(Editor):
    def __init__(self, part: str, content: ModuleContent, data: QueryDict | None) -> None:
        super().__init__(part, content, (part,))
        _title, self.one, self.form_class = ROW_PARTS[part]
        self.rows: list[PartForm] = []
        if data is None:
            self._show([self.form_class.initial_of(item) for item in getattr(content, part)])
            return
        self.sent_seen = self.seen = data.get("seen", "")
        do = data.get("do", "save")
        typed = self._typed(data)
        if do == "add" or _DO.fullmatch(do):
            self._show(self._arranged(typed, do))
        else:
            self.wants_save = True
            self.rows = [self.form_class(data, prefix=self._prefix(n)) for n in range(len(typed))]

    @property
    def forms(self) -> list[PartForm]:
        """The rows that are kept: a blank one is dropped when the part is saved."""
        return [row for row in self.rows if not (row.is_bound and row.blank)]

    @property
    def full(self) -> bool:
        return len(self.rows) >= MOST_PARTS

    @property
    def changes(self) -> dict[str, Any]:
        return {self.part: tuple(form.content for form in self.forms)}

    def error_lines(self) -> list[ErrorLine]:
        refused = [ErrorLine("", sentence, "") for sentence in self.refusals]
        lines = [
            ErrorLine(f"{str(self.one).capitalize()} {n}, {line.label}", line.message, line.href)
            for n, row in enumerate(self.rows, 1)
            if not (row.is_bound and row.blank)
            for line in row.error_lines()
        ]
        return refused + lines

    def _prefix(self, n: int) -> str:
        return f"{self.part}-{n}"

    def _typed(self, data: QueryDict) -> list[dict[str, Any]]:
        """What stands in the boxes of every row, as it was typed."""
        text = data.get("rows", "0")
        count = int(text) if text.isascii() and text.isdigit() and len(text) < 4 else 0
        names = self.form_class().fields
        return [
            {name: data.get(f"{self._prefix(n)}-{name}", "") for name in names}
            for n in range(min(count, MOST_PARTS))
        ]

    def _arranged(self, rows: list[dict[str, Any]], do: str) -> list[dict[str, Any]]:
        found = _DO.fullmatch(do)
        if found is None:
            self.notice = _("A row was added below. Nothing is saved yet.")
            return [*rows, {}][:MOST_PARTS]
        deed, n = found[1], int(found[2])
        other = {"up": n - 1, "down": n + 1, "out": n}[deed]
        if not (0 <= n < len(rows) and 0 <= other < len(rows)):
            return rows
        if deed == "out":
            self.notice = _("The row was taken out. Nothing is saved yet.")
            return rows[:n] + rows[n + 1 :]
        self.notice = _("The order was changed. Nothing is saved yet.")
        rows[n], rows[other] = rows[other], rows[n]
        return rows

    def _show(self, rows: list[dict[str, Any]]) -> None:
        self.rows = [
            self.form_class(initial=row or None, prefix=self._prefix(n))
            for n, row in enumerate(rows)
        ]

    def _place(self, path: str, sentence: str) -> bool:
        part, _dot, rest = path.partition(".")
        number, _dot, name = rest.partition(".")
        name = name.replace("levels.", "level_")
        if part != self.part or not number.isdigit() or int(number) >= len(self.forms):
            return False
        form = self.forms[int(number)]
        if name not in form.fields:
            return False
        form.add_error(name, sentence)
        return True


def editor_for(
    part: str, content: ModuleContent, data: QueryDict | None, modules: Mapping[str, str]
) -> BasicsEditor | RowsEditor:
    """The editor of a part; KeyError for a part that does not exist."""
    if part == BASICS:
        return BasicsEditor(content, data, modules)
    if part not in ROW_PARTS:
        raise KeyError(part)
    return RowsEditor(part, content, data)
