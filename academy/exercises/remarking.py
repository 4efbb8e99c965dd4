"""What a paper's handed-in sheets come to under other rules. Nothing is written here."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import mark, paper_total, settled_anew
from academy.craft.rules import Label, RuleError
from academy.exercises.errors import PaperError
from academy.exercises.models import Answer, AnswerSheet, Question
from academy.exercises.queries.standing import StandingAnswer, counting, standing_answers

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.craft.exercise.engine import FieldMarking, PaperTotal, Question as Drawn
    from academy.craft.rules import Decided, Rules
    from academy.exercises.models import Paper, PaperPart


@dataclass(frozen=True)
class LineChange:
    """One answer that is marked otherwise: what stands now and what would."""

    answer: Answer
    question: Question
    before: StandingAnswer
    after: FieldMarking


@dataclass(frozen=True)
class SheetChange:
    """One sheet with what it would come to. `lines` are the answers that are marked otherwise."""

    sheet: AnswerSheet
    after: PaperTotal
    passed: bool
    lines: tuple[LineChange, ...]

    @property
    def difference(self) -> int:
        """Marks more, or fewer where it is below zero."""
        return self.after.marks - int(self.sheet.stands.marks or 0)

    @property
    def fields(self) -> list[str]:
        """The labels of the lines that are marked otherwise, each once."""
        return list(dict.fromkeys(line.after.field.label for line in self.lines))

    @property
    def turns(self) -> bool:
        """Whether the result itself changes: passed, or safe."""
        stands = self.sheet.stands
        return (self.passed, self.after.not_safe) != (stands.passed, stands.not_safe)


@dataclass(frozen=True)
class RuleChange:
    """A rule that decided something in this paper, and what it comes to now."""

    before: Decided
    after: Decided


@dataclass(frozen=True)
class Remarked:
    """A paper under other rules. `kept` questions have nothing to ask under them: they stay."""

    corrected: Mapping[int, Drawn]
    changes: tuple[SheetChange, ...]
    rules: tuple[RuleChange, ...]
    sheets: int
    kept: int

    @property
    def marks(self) -> tuple[SheetChange, ...]:
        """The sheets whose marks or result change."""
        return tuple(change for change in self.changes if change.difference or change.turns)


def remarked(paper: Paper, rules: Rules) -> Remarked:
    """Every handed-in sheet of a paper marked under `rules`, beside the marks that stand.

    Questions that nobody has answered yet are settled too: they are marked by it later.
    `PaperError` where a label of the paper no longer fits the rules. Seven queries.
    """
    sheets = list(
        AnswerSheet.objects.filter(paper=paper, submitted_at__isnull=False)
        .select_related("apprentice", "paper")
        .prefetch_related("remarks")
        .order_by("apprentice__name", "apprentice", "attempt")
    )
    answers = list(Answer.objects.filter(sheet__in=sheets).order_by("pk"))
    drawn = Question.objects.filter(paper=paper, edition=paper.edition).order_by("pk")
    questions = {question.pk: question for question in counting(drawn)}
    standing = standing_answers(answers)
    now = {pk: row.question for pk, row in questions.items()}
    settled, kept = _settled(paper, questions, rules)
    by_sheet: dict[int, dict[int, dict[str, Answer]]] = defaultdict(lambda: defaultdict(dict))
    for answer in answers:
        by_sheet[answer.sheet_id][answer.question_id][answer.field] = answer
    changes = [
        change
        for sheet in sheets
        if (change := _change(sheet, by_sheet[sheet.pk], questions, settled, standing)) is not None
    ]
    corrected = {pk: anew for pk, anew in settled.items() if _differs(anew, now[pk])}
    return Remarked(
        corrected=corrected,
        changes=tuple(changes),
        rules=_rule_changes(corrected, now),
        sheets=len(sheets),
        kept=kept,
    )


def _differs(one: Drawn, other: Drawn) -> bool:
    """Whether two settlings mark differently; the number of the rule set alone does not count."""
    return (one.key, one.fields, one.mistakes) != (other.key, other.fields, other.mistakes)


def _settled(
    paper: Paper, questions: Mapping[int, Question], rules: Rules
) -> tuple[dict[int, Drawn], int]:
    parts = list(paper.parts.all())
    settled: dict[int, Drawn] = {}
    kept = 0
    for pk, row in questions.items():
        try:
            anew = settled_anew(row.question, rules.with_label(_label_of(row, parts)))
        except RuleError as error:
            raise PaperError(f"{error} Change the house rule or the label first.") from error
        kept += anew is None
        settled[pk] = anew or row.question
    return settled, kept


def _label_of(question: Question, parts: Sequence[PaperPart]) -> Label | None:
    """The label that a question was drawn under: that of the part it stands in."""
    before = 0
    for part in parts:
        if part.apprentice_id not in {None, question.apprentice_id}:
            continue
        before += part.count
        if question.position <= before:
            return Label.from_data(part.label_fields) if part.label_fields else None
    return None


def _change(
    sheet: AnswerSheet,
    answers: Mapping[int, Mapping[str, Answer]],
    questions: Mapping[int, Question],
    settled: Mapping[int, Drawn],
    standing: Mapping[int, StandingAnswer],
) -> SheetChange | None:
    markings = []
    lines: list[LineChange] = []
    for pk, by_field in answers.items():
        texts = {field: answer.written for field, answer in by_field.items()}
        marking = mark(settled[pk], texts)
        markings.append(marking)
        for line in marking.fields:
            answer = by_field.get(line.field.key)
            if answer is not None and not standing[answer.pk].says(line):
                lines.append(LineChange(answer, questions[pk], standing[answer.pk], line))
    total = paper_total(markings)
    passed = total.passed(Decimal(sheet.paper.pass_share))
    change = SheetChange(sheet, total, passed, tuple(lines))
    return change if lines or change.difference or change.turns else None


def _rule_changes(
    corrected: Mapping[int, Drawn], now: Mapping[int, Drawn]
) -> tuple[RuleChange, ...]:
    found: dict[str, RuleChange] = {}
    for pk, drawn in corrected.items():
        after = {decided.rule_key: decided for decided in drawn.decided}
        for before in now[pk].decided:
            new = after.get(before.rule_key)
            if new is not None and new.value != before.value:
                found.setdefault(before.rule_key, RuleChange(before, new))
    return tuple(found.values())
