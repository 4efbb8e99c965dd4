"""How entries about practice read."""

from __future__ import annotations

from academy.audit import sentences
from academy.practice.models import PracticeSession, Task
from academy.web.days import written


def install() -> None:
    sentences.register(
        "practice.session.logged", "{actor} logged {minutes} min of practice: {subject}"
    )
    sentences.register("practice.session.confirmed", "{actor} confirmed {subject}")
    sentences.register("practice.session.not_confirmed", "{actor} did not confirm {subject}")
    sentences.register("practice.session.taken_back", "{actor} took back {subject}")
    sentences.register("practice.task.set", "{actor} set {subject}, by {due_on:people.day}")
    sentences.register("practice.task.withdrawn", "{actor} took back {subject}")
    sentences.resolve("practice.practicesession", _sessions)
    sentences.resolve("practice.task", _tasks)


def _tasks(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = Task.objects.filter(pk__in=ids).select_related("apprentice")
    return {row.pk: f"the task of {row.apprentice}: {row}" for row in rows}


def _sessions(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = PracticeSession.objects.filter(pk__in=ids).select_related("module_version")
    return {
        row.pk: f"{row.module_version.title}, session of {written(row.started_at)}" for row in rows
    }
