"""What waits after a "not yet", and tasks: for the educator, the apprentice and the verifier."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.urls import reverse
from django.utils import timezone

from academy.assessment.again import AgainRules, after_not_yets
from academy.assessment.again_words import ordinal
from academy.assessment.appeals import Terms
from academy.assessment.models import ActionPlan, Appeal
from academy.assessment.results import Result
from academy.practice.models import Task
from academy.practice.task_states import rows_of
from academy.reports.today.need import Need
from academy.web.days import written, written_short

if TYPE_CHECKING:
    from academy.assessment.results import Head
    from academy.people.acting import Acting
    from academy.people.models import Person
    from academy.reports.cohorts import Column, Matrix


def educator_needs(acting: Acting, people: list[Person], table: Matrix) -> list[Need]:
    """Plans that run, plans to be written after the third "not yet", tasks past their day."""
    plans = list(
        ActionPlan.objects.filter(academy=acting.academy, apprentice__in=people).select_related(
            "apprentice", "module_version__module"
        )
    )
    running = [_plan(acting, plan) for plan in plans if plan.closed_at is None]
    return [*running, *_unwritten(acting, plans, table), *_late_tasks(acting, people)]


def _plan(acting: Acting, plan: ActionPlan) -> Need:
    url = _address(acting, "assessment:plan-detail", token=plan.token)
    late = plan.due_on < timezone.localdate()
    how = "was due" if late else "due"
    return Need(
        plan.apprentice.name,
        "expired" if late else "notyet",
        f"{plan.module_version.title}: action plan {how} {written_short(plan.due_on)}",
        plan.text,
        "See plan",
        url,
        since=timezone.localdate(plan.made_at),
        kind="plan",
        urgent=late,
        who_url=_address(
            acting,
            "reports:standing",
            person=plan.apprentice.token,
            module=plan.module_version.module.token,
        ),
    )


def _unwritten(acting: Acting, plans: list[ActionPlan], table: Matrix) -> list[Need]:
    least = AgainRules.of(acting.academy).colleague_from
    needs = []
    for row in table.rows:
        for column, cell in zip(table.columns, row.cells, strict=True):
            decided = [head for head in cell.evidence.heads if head.decided]
            heads = sorted(decided, key=lambda head: (head.day, head.id))
            bad = [head for head in heads if head.result is Result.NOT_YET]
            if len(bad) < least or heads[-1] is not bad[-1]:
                continue
            written_since = any(
                plan.closed_at is None or timezone.localdate(plan.made_at) >= bad[-1].day
                for plan in plans
                if plan.apprentice_id == row.person.pk
                and plan.module_version.module_id == column.module.pk
            )
            if not written_since:
                needs.append(_to_write(acting, row.person, column, bad))
    return needs


def _to_write(acting: Acting, person: Person, column: Column, bad: list[Head]) -> Need:
    address = _address(acting, "assessment:plan-new")
    return Need(
        person.name,
        "missing",
        f"{column.title}: action plan to be written",
        f"After the {ordinal(len(bad))} “not yet”; the next head waits for it.",
        "Write plan",
        f"{address}?apprentice={person.token}&module={column.module.token}",
        since=bad[-1].day,
        kind="write",
        urgent=True,
        who_url=_address(
            acting, "reports:standing", person=person.token, module=column.module.token
        ),
    )


def _late_tasks(acting: Acting, people: list[Person]) -> list[Need]:
    today = timezone.localdate()
    late = Task.objects.filter(
        academy=acting.academy, apprentice__in=people, educator=acting.person, due_on__lt=today
    ).standing()
    return [
        Need(
            row.task.apprentice.name,
            "missing",
            f"Task past its day: {row.task.words}",
            f"{row.task.title}, {row.done_words}, was due {written(row.task.due_on)}.",
            "See task",
            _address(acting, "practice:task-detail", token=row.task.token),
            since=row.task.due_on,
            kind="task",
        )
        for row in rows_of(late.for_list())
        if row.waits
    ]


def apprentice_needs(acting: Acting) -> list[Need]:
    """Tasks, what the next head waits for, plans and appeals of one's own."""
    return [*_tasks(acting), *_next_heads(acting), *_own_plans(acting), *_own_appeals(acting)]


def _tasks(acting: Acting) -> list[Need]:
    own = Task.objects.filter(academy=acting.academy, apprentice=acting.person).standing()
    return [
        Need(
            row.task.words[:1].upper() + row.task.words[1:],
            row.mark,
            f"Task, by {written_short(row.task.due_on)}: {row.done_words}",
            row.task.title,
            "See task",
            _address(acting, "practice:task-detail", token=row.task.token),
        )
        for row in rows_of(own.for_list())
        if row.waits
    ]


def _next_heads(acting: Acting) -> list[Need]:
    person = acting.person
    return [
        Need(
            after.version.title,
            "notyet",
            after.next_words,
            after.scope_words,
            "See how",
            _address(
                acting,
                "assessment:again",
                person=person.token,
                module=after.version.module.token,
            ),
        )
        for after in after_not_yets(acting.academy, person).values()
    ]


def _own_plans(acting: Acting) -> list[Need]:
    rows = ActionPlan.objects.filter(
        academy=acting.academy, apprentice=acting.person, closed_at__isnull=True
    ).select_related("module_version")
    return [
        Need(
            plan.module_version.title,
            "expired" if plan.due_on < timezone.localdate() else "missing",
            f"Action plan, by {written_short(plan.due_on)}",
            plan.text,
            "Read plan",
            _address(acting, "assessment:plan-detail", token=plan.token),
        )
        for plan in rows
    ]


def _own_appeals(acting: Acting) -> list[Need]:
    rows = Appeal.objects.filter(academy=acting.academy, apprentice=acting.person).open()
    return [
        Need(
            row.assessment.module_version.title,
            "second",
            f"Your appeal: answer by {written_short(row.answer_by)}",
            "A second assessor looks at the head.",
            "See appeal",
            _address(acting, "assessment:appeal-detail", token=row.token),
        )
        for row in rows.select_related("assessment__module_version")
    ]


def verifier_needs(acting: Acting) -> list[Need]:
    """Open appeals they may read, the earliest day first, with the working days that are left."""
    rows = list(Appeal.objects.visible_to(acting.person, acting.academy).open().for_list())
    if not rows:
        return []
    terms = Terms.of(acting.academy)
    return [
        Need(
            row.apprentice.name,
            "expired" if row.overdue(terms.today) else "missing",
            f"{row.assessment.module_version.title}: {row.state.label}",
            f"Answer by {written(row.answer_by)}, {terms.left_words(row.answer_by)}.",
            "Open appeal",
            _address(acting, "assessment:appeal-detail", token=row.token),
            since=row.answer_by,
        )
        for row in sorted(rows, key=lambda row: row.answer_by)
    ]


def _address(acting: Acting, name: str, **tokens: Any) -> str:
    return reverse(name, kwargs={"academy": acting.academy.slug, **tokens})
