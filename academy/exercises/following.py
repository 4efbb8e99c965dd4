"""Which slips a follow-up asks for again: those on each apprentice's last handed-in sheet.

Each slip is asked for with two questions, at the level where it was made and under the same label
or module; one right answer may be luck. Each apprentice gets at most four slips, eight questions:
those made in most questions first. A slip that cannot be shown under today's rules, or for which no
other question is left beside those of the others, is named and left out. Nothing is written here.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from django.db.models import Exists, OuterRef, Q

from academy.craft.exercise.engine import ExerciseError, draw_paper, family_of
from academy.craft.rules import RuleError
from academy.curriculum.house import rules_today
from academy.exercises.drawing import parts_for
from academy.exercises.models import Answer, AnswerRemark, AnswerSheet, PaperPart
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.standing import standing_answers
from academy.exercises.services.draws import recipients

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from academy.craft.exercise.engine import PaperPart as DrawnPart
    from academy.craft.rules import Rules
    from academy.exercises.models import Paper
    from academy.people.models import Person

QUESTIONS_EACH = 2
MOST_SLIPS = 4
# So many draws must find different questions for the slips of one exercise.
_TRIES = 5


@dataclass(frozen=True)
class MadeSlip:
    """A slip that somebody made in a part of a paper, and in how many of its questions."""

    part: PaperPart
    slip: str
    times: int

    @property
    def words(self) -> str:
        return slip_words(self.slip)

    @property
    def title(self) -> str:
        return family_of(self.part.family).title

    @property
    def level(self) -> str:
        return self.part.level


@dataclass
class PersonPlan:
    """What one apprentice would get. `left_out` cannot be shown, `over` is more than fits."""

    person: Person
    sheet: AnswerSheet | None
    asked: list[tuple[MadeSlip, int]] = field(default_factory=list)
    left_out: list[MadeSlip] = field(default_factory=list)
    over: int = 0

    @property
    def questions(self) -> int:
        return sum(count for _, count in self.asked)

    @property
    def why(self) -> str:
        """Why somebody gets nothing; empty where they get something."""
        if self.asked:
            return ""
        if self.sheet is None:
            return "has not handed in"
        return "slips that cannot be shown" if self.left_out else "no slip on the last sheet"


@dataclass(frozen=True)
class Plan:
    """A follow-up before it is set."""

    people: list[PersonPlan]

    @property
    def asked(self) -> list[PersonPlan]:
        return [person for person in self.people if person.asked]

    @property
    def nothing(self) -> list[PersonPlan]:
        return [person for person in self.people if not person.asked]

    @property
    def questions(self) -> int:
        return sum(person.questions for person in self.people)


def plan_of(paper: Paper) -> Plan:
    """Who would get what. Six queries, however many apprentices."""
    people = list(recipients(paper))
    sheets = last_sheets(paper, people)
    slips = _slips(paper, sheets.values())
    shows = _Shows(rules_today(paper.academy))
    plans = []
    for person in people:
        plan = PersonPlan(person, sheets.get(person.pk))
        for made in slips[person.pk]:
            full = len(plan.asked) == MOST_SLIPS
            count = shows.how_many(made, () if full else plan.asked)
            if not count:
                plan.left_out.append(made)
            elif full:
                plan.over += 1
            else:
                plan.asked.append((made, count))
        plans.append(plan)
    return Plan(plans)


def last_sheets(paper: Paper, people: Iterable[Person]) -> dict[int, AnswerSheet]:
    """The last handed-in sheet of each apprentice, by their id. One query."""
    sheets = AnswerSheet.objects.handed_in().filter(paper=paper, apprentice__in=people)
    return {sheet.apprentice_id: sheet for sheet in sheets.order_by("attempt")}


def part_at(parts: Sequence[PaperPart], person: int) -> dict[int, PaperPart]:
    """The part that each position on somebody's sheet belongs to."""
    own = [part for part in parts if part.apprentice_id in {None, person}]
    return dict(enumerate((part for part in own for _ in range(part.count)), 1))


def _slips(paper: Paper, sheets: Iterable[AnswerSheet]) -> Mapping[int, list[MadeSlip]]:
    """Each one's slips by their id, those made in most questions first. Three queries."""
    parts = list(paper.parts.select_related("label", "module_version"))
    again = AnswerRemark.objects.filter(answer=OuterRef("pk")).exclude(mistake="")
    named = Answer.objects.filter(sheet__in=[sheet.pk for sheet in sheets]).filter(
        ~Q(mistake="") | Exists(again)
    )
    answers = list(named.select_related("sheet", "question").defer("question__drawn"))
    standing = standing_answers(answers)
    made: dict[int, set[tuple[int, str]]] = defaultdict(set)
    for answer in answers:
        if mistake := standing[answer.pk].mistake:
            made[answer.sheet.apprentice_id].add((answer.question.position, mistake))
    return defaultdict(
        list, {person: _ordered(part_at(parts, person), made[person]) for person in made}
    )


def _ordered(parts: Mapping[int, PaperPart], made: Iterable[tuple[int, str]]) -> list[MadeSlip]:
    """Two parts of the same kind count as one."""
    times: Counter[Kind] = Counter()
    first: dict[Kind, PaperPart] = {}
    for position, slip in sorted(made):
        kind = _kind(parts[position], slip)
        times[kind] += 1
        first.setdefault(kind, parts[position])
    return [MadeSlip(first[kind], kind[-1], count) for kind, count in times.most_common()]


Kind = tuple[str, ...]
Asked = tuple["MadeSlip", int]


class _Shows:
    """How many different questions would show a slip; each case is tried once."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.found: dict[tuple[tuple[Kind, int], ...], bool] = {}

    def how_many(self, made: MadeSlip, others: Sequence[Asked]) -> int:
        """At most `QUESTIONS_EACH`, none of them one that the others of its exercise take."""
        alone = next((n for n in _fewer(QUESTIONS_EACH) if self._can_ask([(made, n)])), 0)
        same = (made.part.family, made.part.level)
        kin = [one for one in others if (one[0].part.family, one[0].part.level) == same]
        if not kin:
            return alone
        return next((n for n in _fewer(alone) if self._can_ask([*kin, (made, n)])), 0)

    def _can_ask(self, asked: Sequence[Asked]) -> bool:
        case = tuple((_kind(made.part, made.slip), count) for made, count in asked)
        if case not in self.found:
            parts = parts_for([asking(made, count) for made, count in asked])
            tries = _TRIES if len(asked) > 1 else 1
            self.found[case] = all(self._draws(parts, number) for number in range(tries))
        return self.found[case]

    def _draws(self, parts: Sequence[DrawnPart], seed: int) -> bool:
        try:
            draw_paper(parts, seed, self.rules)
        except (ExerciseError, RuleError):
            return False
        return True


def _fewer(count: int) -> range:
    return range(count, 0, -1)


def _kind(part: PaperPart, slip: str) -> Kind:
    """Two parts of the same kind are drawn alike."""
    return (part.family, part.level, str(part.label_fields), str(part.material), slip)


def asking(made: MadeSlip, count: int, **fields: object) -> PaperPart:
    """A part, not saved yet, whose questions would show the slip."""
    part = made.part
    return PaperPart(
        family=part.family,
        level=part.level,
        count=count,
        label=part.label,
        label_fields=part.label_fields,
        module_version=part.module_version,
        material=part.material,
        slip=made.slip,
        **fields,
    )
