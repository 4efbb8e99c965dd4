"""Setting a paper for a cohort, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.house import current_rule_set, rules_of, rules_today
from academy.exercises import drawing
from academy.exercises.models import Paper, PaperPart, Question
from academy.exercises.services.wanted import check_wanted, require_educator
from academy.people.models import CohortPlace

if TYPE_CHECKING:
    from collections.abc import Collection

    from academy.craft.exercise.engine import Question as Drawn
    from academy.craft.rules import Rules
    from academy.exercises.services.wanted import Wanted
    from academy.people.models import Academy, Person


def set_paper(
    *, academy: Academy, by: Person, wanted: Wanted, client_key: str | None = None
) -> Paper:
    """Set a paper and draw and store all its questions.

    Everybody with a place in the cohort today gets their questions now, those who join later
    when they begin. The same `client_key` sent again gives the paper that is there already.
    """
    if client_key and (before := Paper.objects.filter(client_key=client_key).first()):
        return before
    check_wanted(academy, by, wanted)
    try:
        with transaction.atomic():
            paper = _make(academy, by, wanted, client_key)
            Question.objects.bulk_create(_questions(paper, wanted))
            record(
                academy_id=academy.pk,
                actor_id=by.pk,
                action="exercises.paper.set",
                subject=paper,
                details={
                    "cohort": wanted.cohort.pk,
                    "seed": str(wanted.seed),
                    "same_numbers": wanted.same_numbers,
                    "kind": str(wanted.kind),
                    "due": wanted.due_on.isoformat() if wanted.due_on else None,
                    "pass_share": wanted.pass_share,
                    "version": wanted.module_version.pk if wanted.module_version else None,
                    "rule_set": paper.rule_set.number if paper.rule_set else 0,
                    "parts": [f"{p.family}:{p.level}:{p.count}" for p in wanted.parts],
                },
            )
    except IntegrityError:
        # The same page sent twice at the same moment: the other one won.
        if client_key is None:
            raise
        paper = Paper.objects.get(client_key=client_key)
    return paper


def withdraw_paper(*, paper: Paper, by: Person) -> Paper:
    """Take a paper back: nobody begins it or hands it in any more; what was handed in stays."""
    require_educator(paper.academy, by)
    with transaction.atomic():
        locked = Paper.objects.select_for_update().get(pk=paper.pk)
        if locked.withdrawn:
            return locked
        locked.withdrawn_at = timezone.now()
        locked.save(update_fields=["withdrawn_at"])
        record(
            academy_id=locked.academy_id,
            actor_id=by.pk,
            action="exercises.paper.withdrawn",
            subject=locked,
            details={"handed_in": locked.sheets.filter(submitted_at__isnull=False).count()},
        )
    return locked


def draw_preview(*, academy: Academy, by: Person, wanted: Wanted) -> tuple[list[Drawn], str]:
    """What setting it would draw: for all alike, or for the first apprentice and their name."""
    check_wanted(academy, by, wanted)
    rules = rules_today(academy)
    people = _people(wanted)
    if wanted.same_numbers or not people:
        return _draw(wanted, rules), ""
    first = people[0]
    seen = drawing.seen_by([first.pk], rules)[first.pk]
    return _draw(wanted, rules, first.pk, seen), first.name


def _make(academy: Academy, by: Person, wanted: Wanted, client_key: str | None) -> Paper:
    paper = Paper.objects.create(
        academy=academy,
        cohort=wanted.cohort,
        title=wanted.title.strip(),
        kind=wanted.kind,
        seed=wanted.seed,
        same_numbers=wanted.same_numbers,
        due_on=wanted.due_on,
        pass_share=wanted.pass_share,
        module_version=wanted.module_version,
        rule_set=current_rule_set(academy),
        set_by=by,
        client_key=client_key,
    )
    PaperPart.objects.bulk_create(
        PaperPart(
            paper=paper,
            position=position,
            family=part.family,
            level=part.level.value,
            count=part.count,
            label=part.label,
            label_fields=part.label_fields,
        )
        for position, part in enumerate(wanted.parts, 1)
    )
    return paper


def _questions(paper: Paper, wanted: Wanted) -> list[Question]:
    rules = rules_of(paper.rule_set)
    if wanted.same_numbers:
        return drawing.rows_of(paper, _draw(wanted, rules), None, 1)
    people = [person.pk for person in _people(wanted)]
    seen = drawing.seen_by(people, rules)
    rows: list[Question] = []
    for person in people:
        drawn = _draw(wanted, rules, person, seen[person])
        rows += drawing.rows_of(paper, drawn, person, 1)
    return rows


def _draw(
    wanted: Wanted,
    rules: Rules,
    apprentice: int | None = None,
    seen: Collection[str] = (),
) -> list[Drawn]:
    parts = [part.for_engine() for part in wanted.parts]
    return drawing.draw(parts, wanted.seed, rules, apprentice=apprentice, seen=seen)


def _people(wanted: Wanted) -> list[Person]:
    """Who has a place in the cohort today, by name. One query."""
    places = CohortPlace.objects.current().filter(cohort=wanted.cohort)
    return [place.person for place in places.select_related("person").order_by("person__name")]
