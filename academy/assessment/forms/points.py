"""Several points of feedback on one page: each a form of its own, shown and judged together.

A point is added or taken away by a button that sends the whole page, so that it works without a
script and nothing typed is lost. Points that follow one taken away move up.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from academy.assessment.boxes import MOST_POINTS, Boxes, part_name
from academy.assessment.forms.feedback import BoxesForm, GivenBoxesForm, WhyCorrectedForm
from academy.assessment.phrases import begun_with
from academy.web.forms import BlockworkForm, ErrorLine, summary_title

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.assessment.models import Feedback
    from academy.assessment.phrases import Phrase
    from academy.curriculum.models import ModuleVersion
    from academy.web.refused import Refused

PARTS = (*Boxes.__dataclass_fields__, "of")
STAY = "stay"
"""Sent by Enter in a field: nothing is asked for but to keep what was typed."""


class PointForms:
    """The points of one head; `data` is what was sent, `given` what is shown before that."""

    def __init__(
        self,
        data: Mapping[str, str] | None,
        *,
        version: ModuleVersion,
        given: Sequence[Boxes],
        offered: Sequence[Phrase] = (),
    ) -> None:
        self.version, self.given = version, given
        self.deed = "can be submitted" if data and "submit" in data else "can be kept"
        self.is_bound, self.pressed = data is not None, False
        self.refusals: list[str] = []
        if data is None:
            self.forms = [self._form(n) for n in range(1, max(1, len(given)) + 1)]
            return
        typed = self._arranged(data, offered)
        names = {part_name(n, part): v for n, row in enumerate(typed, 1) for part, v in row.items()}
        self.forms = [self._form(n, names, of=row.get("of", "")) for n, row in enumerate(typed, 1)]

    @property
    def several(self) -> bool:
        return len(self.forms) > 1

    @property
    def full(self) -> bool:
        """Whether no further point fits."""
        return len(self.forms) >= MOST_POINTS

    @property
    def next_number(self) -> int:
        """The number of a point that is added."""
        return len(self.forms) + 1

    @property
    def all_forms(self) -> list[BlockworkForm]:
        return list(self.forms)

    def is_valid(self) -> bool:
        return all(form.is_valid() for form in self.all_forms)

    def points(self) -> list[Boxes]:
        return [form.now for form in self.forms]

    def refuse(self, refused: Refused) -> None:
        """Show a refusal beside its field, of whatever point it is, or above them all."""
        for form in self.all_forms:
            for name in form.fields:
                if form.add_prefix(name) == refused.field:
                    form.add_error(name, refused.message)
                    return
        self.refusals.append(refused.message)

    @property
    def errors(self) -> list[ErrorLine]:
        return self.error_lines()

    def error_lines(self) -> list[ErrorLine]:
        lines = [ErrorLine("", sentence, "") for sentence in self.refusals]
        for form in self.all_forms:
            for line in form.error_lines():
                number = getattr(form, "number", 0) if self.several else 0
                label = f"Point {number}, {line.label}" if number and line.label else line.label
                lines.append(replace(line, label=label))
        return lines

    def error_title(self) -> str:
        return summary_title(len(self.error_lines()), self.deed)

    def _form(
        self, number: int, data: Mapping[str, str] | None = None, *, of: str = ""
    ) -> BoxesForm:
        """The form of one point; `of` names the row that was sent along with it."""
        del of
        kept = self.given[number - 1] if number <= len(self.given) else Boxes()
        return BoxesForm(data, version=self.version, number=number, initial=kept.__dict__)

    def _arranged(self, data: Mapping[str, str], offered: Sequence[Phrase]) -> list[dict[str, str]]:
        """What was typed, point by point, after the button that was pressed, if it was one."""
        typed = self._typed(data)
        self.pressed = STAY in data
        if "add" in data and len(typed) < MOST_POINTS:
            typed, self.pressed = [*typed, {}], True
        phrases = {phrase.key: phrase for phrase in offered}
        for number, row in enumerate(list(typed), 1):
            if part_name(number, "drop") in data and not row.get("of"):
                typed, self.pressed = [other for other in typed if other is not row], True
                break
            phrase = phrases.get(data.get(part_name(number, "phrase"), ""))
            if phrase is not None:
                row["next_action"] = begun_with(row.get("next_action", ""), phrase)
                self.pressed = True
        return typed or [{}]

    def _typed(self, data: Mapping[str, str]) -> list[dict[str, str]]:
        sent = data.get("points", "1")
        many = int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 4 else 1
        many = max(1, min(many, max(MOST_POINTS, len(self.given))))
        return [
            {part: data[name] for part in PARTS if (name := part_name(number, part)) in data}
            for number in range(1, many + 1)
        ]


class CorrectionForms(PointForms):
    """The points that were given, to be mended, and new ones; with the reason.

    `rows` are all rows of the head, `given` those that count.
    """

    def __init__(
        self,
        data: Mapping[str, str] | None,
        *,
        rows: Sequence[Feedback],
        counted: Sequence[Feedback],
        **kwargs: Any,
    ) -> None:
        self.rows = {str(row.pk): row for row in rows}
        self.counted = counted
        super().__init__(data, given=[row.boxes for row in counted], **kwargs)
        self.deed = "can be corrected"
        self.why = WhyCorrectedForm(data)

    @property
    def all_forms(self) -> list[BlockworkForm]:
        return [*self.forms, self.why]

    def pairs(self) -> list[tuple[Feedback | None, Boxes]]:
        """Each point with the row that it corrects, None for one that is added."""
        return [(self.rows.get(form.cleaned_data["of"]), form.boxes()) for form in self.forms]

    def _form(
        self, number: int, data: Mapping[str, str] | None = None, *, of: str = ""
    ) -> BoxesForm:
        if data is None and number <= len(self.counted):
            of = str(self.counted[number - 1].pk)
        old = self.rows.get(of)
        start = {**(old.boxes if old else Boxes()).__dict__, "of": of}
        return GivenBoxesForm(
            data, version=self.version, number=number, initial=start, given=self.rows
        )
