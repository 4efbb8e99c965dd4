"""Lists of papers: all of an academy for staff, their own for an apprentice."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Count, Q
from django.utils import timezone

from academy.exercises.models import Answer, AnswerSheet, Paper, PaperPart
from academy.exercises.queries.standing import answers_with_marks_now
from academy.people.models import CohortPlace

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.exercises.models.papers import PaperQuerySet
    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class PaperRow:
    """A paper as staff see it in the list. `slip` is the commonest, in words; empty: none yet."""

    paper: Paper
    handed_in: int
    places: int
    slip: str
    slips: int

    @property
    def state(self) -> str:
        """The mark: everybody has handed in, or somebody is missing."""
        if self.paper.withdrawn:
            return "withdrawn"
        return "right" if self.handed_in >= self.places else "missing"


@dataclass(frozen=True)
class OwnRow:
    """A paper as its apprentice sees it: the open sheet, if any, and the last one handed in."""

    paper: Paper
    open: AnswerSheet | None
    last: AnswerSheet | None

    @property
    def to_do(self) -> bool:
        over = self.paper.withdrawn or self.paper.closed
        return not over and (self.open is not None or self.last is None)

    @property
    def late(self) -> bool:
        return self.paper.is_late(timezone.now())


@dataclass(frozen=True)
class PaperPeople:
    """Who handed in which paper, and for whom each follow-up is meant: ids by the paper's id."""

    handed_in: Mapping[int, set[int]]
    meant: Mapping[int, set[int]]

    def is_meant_for(self, paper: Paper, person: int) -> bool:
        return not paper.follows_id or person in self.meant[paper.pk]

    def waits_for(self, paper: Paper, person: Person) -> bool:
        """Whether a paper still waits for somebody in its cohort."""
        return self.is_meant_for(paper, person.pk) and person.pk not in self.handed_in[paper.pk]


def paper_people(papers: Sequence[Paper]) -> PaperPeople:
    """Two queries, however many papers."""
    people = PaperPeople(defaultdict(set), defaultdict(set))
    sheets = AnswerSheet.objects.handed_in().filter(paper__in=papers)
    for paper, person in sheets.values_list("paper", "apprentice"):
        people.handed_in[paper].add(person)
    parts = PaperPart.objects.filter(paper__in=papers, apprentice__isnull=False)
    for paper, person in parts.values_list("paper", "apprentice"):
        people.meant[paper].add(person)
    return people


def paper_rows(papers: Sequence[Paper]) -> list[PaperRow]:
    """Four queries, however many papers."""
    places: dict[int, set[int]] = defaultdict(set)
    current = CohortPlace.objects.current().filter(cohort__in={p.cohort_id for p in papers})
    for cohort, person in current.values_list("cohort", "person"):
        places[cohort].add(person)
    people = paper_people(papers)
    slips = _commonest_slips(papers)
    rows = []
    for paper in papers:
        handed_in = people.handed_in[paper.pk]
        meant = {who for who in places[paper.cohort_id] if people.is_meant_for(paper, who)}
        # Who left without handing in is not waited for; who handed in still counts.
        slip = slips.get(paper.pk, ("", 0))
        rows.append(PaperRow(paper, len(handed_in), len(meant | handed_in), *slip))
    return rows


def _commonest_slips(papers: Sequence[Paper]) -> dict[int, tuple[str, int]]:
    counts: dict[int, Counter[str]] = defaultdict(Counter)
    answers = Answer.objects.filter(sheet__paper__in=papers, sheet__submitted_at__isnull=False)
    rows = (
        answers_with_marks_now(answers)
        .exclude(mistake_now="")
        .values_list("sheet__paper", "mistake_now")
        .annotate(n=Count("pk"))
        .order_by()
    )
    for paper, mistake, n in rows:
        counts[paper][mistake] += n
    found = {paper: min(counter.items(), key=_order) for paper, counter in counts.items()}
    return {paper: (slip_words(mistake), n) for paper, (mistake, n) in found.items()}


def _order(item: tuple[str, int]) -> tuple[int, str]:
    return -item[1], item[0]


def slip_words(mistake: str) -> str:
    """The name of a slip as it is read: part-for-share is "part for share"."""
    return mistake.replace("-", " ")


def own_papers(person: Person, academy: Academy) -> PaperQuerySet:
    """Standing papers of the cohorts a person learns in today, and all they handed in."""
    papers = Paper.objects.filter(academy=academy).meant_for(person)
    now = Q(cohort__places__in=person.cohort_places.current(), withdrawn_at__isnull=True)
    before = Q(sheets__apprentice=person, sheets__submitted_at__isnull=False)
    return papers.filter(now | before).distinct()


def own_rows(papers: Sequence[Paper], person: Person) -> list[OwnRow]:
    """Two queries."""
    sheets: dict[int, list[AnswerSheet]] = defaultdict(list)
    own = AnswerSheet.objects.filter(paper__in=papers, apprentice=person)
    for sheet in own.prefetch_related("remarks"):
        sheets[sheet.paper_id].append(sheet)
    return [own_row(paper, sheets[paper.pk]) for paper in papers]


def own_row(paper: Paper, sheets: Sequence[AnswerSheet]) -> OwnRow:
    done = [sheet for sheet in sheets if sheet.handed_in]
    return OwnRow(
        paper,
        next((sheet for sheet in sheets if not sheet.handed_in), None),
        max(done, key=lambda sheet: sheet.attempt, default=None),
    )
