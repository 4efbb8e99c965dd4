"""Setting a paper for a cohort, changing it while nobody has begun, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.house import current_rule_set, rules_today
from academy.exercises import drawing
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper, PaperPart
from academy.exercises.services.draws import draw_now_or_later, people_with_a_place
from academy.exercises.services.wanted import check_wanted, require_educator

if TYPE_CHECKING:
    from academy.craft.exercise.engine import Question as Drawn
    from academy.exercises.services.wanted import Wanted
    from academy.people.models import Academy, Person

CHANGED_SINCE = "The paper was changed since: its questions are not these. Ask for it again."


def set_paper(
    *, academy: Academy, by: Person, wanted: Wanted, client_key: str | None = None
) -> Paper:
    """Set a paper and draw and store its questions: now, or by a worker where they are many.

    Everybody with a place in the cohort today gets theirs, those who join later when they
    begin. The same `client_key` sent again gives the paper that is there already.
    """
    if before := sent_before(academy, by, client_key):
        return before
    check_wanted(academy, by, wanted)
    try:
        with transaction.atomic():
            paper = Paper(academy=academy, set_by=by, rule_set=current_rule_set(academy))
            _write(paper, wanted, client_key)
            draw_now_or_later(paper)
            _record(paper, by, wanted, "set")
    except IntegrityError:
        # The same page sent twice at the same moment: the other one won.
        twin = sent_before(academy, by, client_key)
        if twin is None:
            raise
        return twin
    return paper


def sent_before(academy: Academy, by: Person, client_key: str | None) -> Paper | None:
    """The paper that this person set from the same page before. One query."""
    if not client_key:
        return None
    return Paper.objects.filter(academy=academy, set_by=by, client_key=client_key).first()


def edit_paper(
    *, paper: Paper, by: Person, wanted: Wanted, edition: int, client_key: str | None = None
) -> Paper:
    """Change a paper that nobody has begun: its parts are replaced, its questions drawn anew.

    `edition` is the one that was looked at; what somebody else changed since is not written
    over. The same `client_key` sent again changes nothing more. The rules are those of today.
    """
    check_wanted(paper.academy, by, wanted)
    with transaction.atomic():
        locked = Paper.objects.select_for_update(of=("self",)).get(pk=paper.pk)
        if client_key and locked.client_key == client_key:
            return locked
        check_editable(locked)
        if locked.edition != edition:
            raise PaperError(
                "Somebody changed this paper after you had opened it. Open it again and look."
            )
        locked.edition += 1
        locked.rule_set = current_rule_set(locked.academy)
        locked.parts.all().delete()
        locked.prints.update(trouble=CHANGED_SINCE)
        _write(locked, wanted, client_key)
        draw_now_or_later(locked)
        _record(locked, by, wanted, "changed")
    return locked


def check_editable(paper: Paper) -> None:
    """`PaperError` where a paper stands as it is. One query."""
    if paper.withdrawn:
        raise PaperError("This paper is withdrawn. Set a new one like it instead.")
    if paper.follows_id:
        raise PaperError(
            "A follow-up hangs on the slips of each apprentice and is not changed. Withdraw it "
            "and set another one."
        )
    if paper.sheets.exists():
        raise PaperError(
            "Somebody has begun this paper, so it stays as it is. Set a new one like it instead."
        )


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


def draw_preview(
    *, academy: Academy, by: Person, wanted: Wanted, editing: Paper | None = None
) -> tuple[list[Drawn], str]:
    """What setting it would draw: for all alike, or for the first apprentice and their name."""
    check_wanted(academy, by, wanted)
    rules = rules_today(academy)
    parts = [part.for_engine() for part in wanted.parts]
    people = [] if wanted.same_numbers else list(people_with_a_place(wanted.cohort)[:1])
    if not people:
        return drawing.draw(parts, wanted.seed, rules), ""
    first = people[0]
    seen = drawing.seen_by([first.pk], rules, but=editing)[first.pk]
    return drawing.draw(parts, wanted.seed, rules, apprentice=first.pk, seen=seen), first.name


def _write(paper: Paper, wanted: Wanted, client_key: str | None) -> None:
    paper.cohort = wanted.cohort
    paper.title = wanted.title.strip()
    paper.kind = wanted.kind
    paper.seed = wanted.seed
    paper.same_numbers = wanted.same_numbers
    paper.due_on = wanted.due_on
    paper.minutes = wanted.minutes
    paper.pass_share = wanted.pass_share
    paper.module_version = wanted.module_version
    paper.client_key = client_key
    paper.drawing = None
    paper.save()
    PaperPart.objects.bulk_create(
        PaperPart(
            paper=paper,
            position=position,
            family=part.family,
            level=part.level.value,
            count=part.count,
            label=part.label,
            label_fields=part.label_fields,
            module_version=part.module_version,
            material=material.to_data() if (material := part.material) else None,
        )
        for position, part in enumerate(wanted.parts, 1)
    )


def _record(paper: Paper, by: Person, wanted: Wanted, verb: str) -> None:
    record(
        academy_id=paper.academy_id,
        actor_id=by.pk,
        action=f"exercises.paper.{verb}",
        subject=paper,
        details={
            "cohort": wanted.cohort.pk,
            "seed": str(wanted.seed),
            "same_numbers": wanted.same_numbers,
            "kind": str(wanted.kind),
            "due": wanted.due_on.isoformat() if wanted.due_on else None,
            "minutes": wanted.minutes,
            "pass_share": wanted.pass_share,
            "version": wanted.module_version.pk if wanted.module_version else None,
            "rule_set": paper.rule_set.number if paper.rule_set else 0,
            "edition": paper.edition,
            "parts": [f"{p.family}:{p.level}:{p.count}" for p in wanted.parts],
        },
    )
