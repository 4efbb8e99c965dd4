"""Drawing the questions of a paper, for one apprentice or once for all."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.craft.exercise.engine import (
    ExerciseError,
    Level,
    PaperPart as DrawnPart,
    Question as Drawn,
    draw_paper,
    seed_from,
)
from academy.craft.rules import Label, RuleError
from academy.curriculum.house import label_of, rules_of
from academy.exercises.errors import PaperError
from academy.exercises.models import Question

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from academy.craft.rules import Rules
    from academy.curriculum.models import ProductLabel
    from academy.exercises.models import Paper


@dataclass(frozen=True)
class PartWanted:
    """So many questions of a family at a level; a label only at level exam."""

    family: str
    level: Level
    count: int
    label: ProductLabel | None = None

    @property
    def label_fields(self) -> dict[str, object] | None:
        return label_of(self.label).to_data() if self.label else None

    def for_engine(self) -> DrawnPart:
        label = label_of(self.label) if self.label else None
        return DrawnPart(self.family, self.level, self.count, label)


def draw(
    parts: Sequence[DrawnPart],
    seed: int,
    rules: Rules,
    *,
    apprentice: int | None = None,
    attempt: int = 1,
    seen: Collection[str] = (),
) -> list[Drawn]:
    """The questions of one paper. `apprentice` is their id where each gets their own numbers.

    Numbers that an apprentice saw are passed over; those that all get alike hang on the seed
    alone. `PaperError` where the rules leave nothing to ask.
    """
    base = seed if attempt == 1 else seed_from(seed, "attempt", attempt)
    try:
        return draw_paper(parts, base, rules, apprentice, avoid=seen)
    except (ExerciseError, RuleError) as error:
        raise PaperError(str(error)) from error


def draw_sheet(paper: Paper, apprentice: int | None, attempt: int) -> list[Question]:
    """The rows, not saved yet, of what one apprentice (None: everybody) gets at an attempt."""
    rules = rules_of(paper.rule_set)
    seen = seen_by([apprentice], rules)[apprentice] if apprentice else {}
    drawn = draw(
        stored_parts(paper),
        paper.seed,
        rules,
        apprentice=apprentice,
        attempt=attempt,
        seen=seen,
    )
    return rows_of(paper, drawn, apprentice, attempt)


def stored_parts(paper: Paper) -> list[DrawnPart]:
    """The parts of a paper that was set, with its labels as they read then."""
    return [
        DrawnPart(
            row.family,
            Level(row.level),
            row.count,
            Label.from_data(row.label_fields) if row.label_fields else None,
        )
        for row in paper.parts.all()
    ]


def rows_of(
    paper: Paper, drawn: Iterable[Drawn], apprentice: int | None, attempt: int
) -> list[Question]:
    return [
        Question(
            paper=paper,
            apprentice_id=apprentice,
            attempt=attempt,
            position=position,
            identity=question.identity,
            family=question.family,
            family_version=question.version,
            level=question.level.value,
            seed=question.seed,
            drawn=question.to_data(),
        )
        for position, question in enumerate(drawn, 1)
    ]


def seen_by(apprentices: Iterable[int], rules: Rules) -> Mapping[int, dict[str, None]]:
    """The identities of what each had before them in the days of the rule, the oldest first.

    Own questions count from when they were drawn, common ones from when a sheet was begun.
    Two queries.
    """
    people = list(apprentices)
    since = timezone.now() - timedelta(days=int(rules.number("seen_days")))
    own = Question.objects.filter(apprentice__in=people, drawn_at__gte=since).values_list(
        "drawn_at", "pk", "apprentice", "identity"
    )
    common = Question.objects.filter(
        apprentice__isnull=True,
        paper__sheets__apprentice__in=people,
        paper__sheets__started_at__gte=since,
    ).values_list("paper__sheets__started_at", "pk", "paper__sheets__apprentice", "identity")
    seen: dict[int, dict[str, None]] = defaultdict(dict)
    for _, _, person, identity in sorted([*own, *common]):
        seen[person].pop(identity, None)
        seen[person][identity] = None
    return seen
