"""Drawing the questions of a paper, for one apprentice or once for all."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils import timezone

from academy.craft.exercise.engine import (
    Level,
    Material,
    PaperPart as DrawnPart,
    PartError,
    Question as Drawn,
    draw_paper,
    seed_from,
)
from academy.craft.rules import Label
from academy.curriculum.house import label_of, rules_of
from academy.exercises.errors import PaperError
from academy.exercises.models import Question

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from academy.craft.rules import Rules
    from academy.curriculum.models import ModuleVersion, ProductLabel
    from academy.exercises.models import Paper, PaperPart


# The slips of one apprentice may leave so few questions that one draw takes what another needs.
FOLLOW_UP_TRIES = 5


@dataclass(frozen=True)
class PartWanted:
    """So many questions of a family at a level; a label only at level exam.

    A family that is made from a module's own steps needs the version of one.
    """

    family: str
    level: Level
    count: int
    label: ProductLabel | None = None
    module_version: ModuleVersion | None = None

    @property
    def label_fields(self) -> dict[str, object] | None:
        return label_of(self.label).to_data() if self.label else None

    @property
    def material(self) -> Material | None:
        return material_of(self.module_version) if self.module_version else None

    def for_engine(self) -> DrawnPart:
        label = label_of(self.label) if self.label else None
        return DrawnPart(self.family, self.level, self.count, label, self.material)


def material_of(version: ModuleVersion) -> Material:
    """The title and the steps of a module as an exercise is made from them. One query."""
    return Material(version.title, tuple(step.head for step in version.steps.all()))


def draw(
    parts: Sequence[DrawnPart],
    seed: int,
    rules: Rules,
    *,
    apprentice: int | None = None,
    attempt: int = 1,
    seen: Collection[str] = (),
    tries: int = 1,
) -> list[Drawn]:
    """The questions of one paper. `apprentice` is their id where each gets their own numbers.

    Numbers that an apprentice saw are passed over; those that all get alike hang on the seed
    alone. `PaperError` names the part in which the rules leave nothing to ask, after so many
    `tries`.
    """
    base = seed if attempt == 1 else seed_from(seed, "attempt", attempt)
    try:
        return draw_paper(parts, base, rules, apprentice, avoid=seen)
    except PartError as error:
        if tries > 1:
            again = seed_from(seed, "again", tries)
            return draw(
                parts,
                again,
                rules,
                apprentice=apprentice,
                attempt=attempt,
                seen=seen,
                tries=tries - 1,
            )
        raise PaperError(str(error), field="parts", part=error.part) from error


def standing_rules(paper: Paper) -> Rules:
    """The rules the paper was set under, or those it was last marked again under. One query."""
    corrected = paper.remarkings.select_related("rule_set").first()
    return rules_of(corrected.rule_set if corrected else paper.rule_set)


def draw_common(paper: Paper) -> list[Question]:
    """The rows, not saved yet, of the numbers that everybody gets alike. Three queries."""
    drawn = draw(parts_for(paper.parts.all()), paper.seed, standing_rules(paper))
    return rows_of(paper, drawn, None, 1)


def draw_each(paper: Paper, people: Sequence[int], attempt: int = 1) -> list[Question]:
    """The rows, not saved yet, of what each of these gets at an attempt. Five queries."""
    rules = standing_rules(paper)
    parts = list(paper.parts.all())
    everybodys = parts_for(parts)
    seen = seen_by(people, rules)
    tries = FOLLOW_UP_TRIES if paper.follows_id else 1
    rows: list[Question] = []
    for person in people:
        own = parts_for(parts, person) if paper.follows_id else everybodys
        drawn = draw(
            own,
            paper.seed,
            rules,
            apprentice=person,
            attempt=attempt,
            seen=seen[person],
            tries=tries,
        )
        rows += rows_of(paper, drawn, person, attempt)
    return rows


def parts_for(parts: Iterable[PaperPart], person: int | None = None) -> list[DrawnPart]:
    """The stored parts as they read when the paper was set: everybody's, and those of a person."""
    return [
        DrawnPart(
            row.family,
            Level(row.level),
            row.count,
            Label.from_data(row.label_fields) if row.label_fields else None,
            Material.from_data(row.material) if row.material else None,
            row.slip,
        )
        for row in parts
        if row.apprentice_id in {None, person}
    ]


def rows_of(
    paper: Paper, drawn: Iterable[Drawn], apprentice: int | None, attempt: int
) -> list[Question]:
    return [
        Question(
            paper=paper,
            apprentice_id=apprentice,
            attempt=attempt,
            edition=paper.edition,
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


def seen_by(
    apprentices: Iterable[int], rules: Rules, *, but: Paper | None = None
) -> Mapping[int, dict[str, None]]:
    """The identities of what each had before them in the days of the rule, the oldest first.

    Own questions count from when they were drawn, common ones from when a sheet was begun;
    those of an edition that was changed before anybody began were seen by nobody,
    nor those of `but`, which is about to be changed. Two queries.
    """
    people = list(apprentices)
    since = timezone.now() - timedelta(days=int(rules.number("seen_days")))
    asked = Question.objects.filter(edition=F("paper__edition"))
    if but is not None:
        asked = asked.exclude(paper=but)
    own = asked.filter(apprentice__in=people, drawn_at__gte=since).values_list(
        "drawn_at", "pk", "apprentice", "identity"
    )
    common = asked.filter(
        apprentice__isnull=True,
        paper__sheets__apprentice__in=people,
        paper__sheets__started_at__gte=since,
    ).values_list("paper__sheets__started_at", "pk", "paper__sheets__apprentice", "identity")
    seen: dict[int, dict[str, None]] = defaultdict(dict)
    for _, _, person, identity in sorted([*own, *common]):
        seen[person].pop(identity, None)
        seen[person][identity] = None
    return seen
