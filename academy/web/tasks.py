"""Background work: asked for in a transaction, done once by a worker, tried again after trouble.

A service calls `enqueue` inside its transaction; the row of the job and its place in the queue
are written with everything else, or not at all. A worker that dies leaves the job to the next
one (at-least-once), so a task must be right when it is run twice: it looks at what is there
first. Only ids go into the arguments, never names or texts.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from uuid import uuid4

from django.db import connections, transaction
from django.utils import timezone
from django.utils.module_loading import import_string
from django_q.brokers.orm import ORM
from django_q.conf import Conf
from django_q.models import OrmQ, Schedule
from django_q.tasks import async_task

from academy.web.models import Job, JobState

logger = logging.getLogger(__name__)

# Seconds to wait after the first, second and third failed attempt; the fourth is the last.
PAUSES = (10, 60, 600)
MAX_ATTEMPTS = len(PAUSES) + 1
KEEP_DONE = timedelta(days=30)
NIGHTLY_AT = time(2, 30)

_nightly: list[str] = []


class DelayedBroker(ORM):  # type: ignore[misc]  # django-q2 has no types
    """Puts a task into the queue that may not be taken before `due`."""

    def __init__(self, due: datetime) -> None:
        super().__init__()
        self.due = due

    def enqueue(self, task: str) -> int:
        place: OrmQ = OrmQ.objects.create(key=self.list_key, payload=task, lock=self.due)
        return int(place.pk)


def enqueue(
    task: str,
    *arguments: int | str | bool | None,
    key: str | None = None,
    due: datetime | None = None,
) -> Job:
    """Ask for `task` (a dotted path to a function) to be run with `arguments` by a worker.

    Call it inside the transaction of what the task belongs to. The same `key` gives the same
    job: it is run once, however often it is asked for. Without a key every call is a new job.
    With `due` no worker takes it before that moment; it counts as waiting from then on.
    Where tasks run at once (settings of the tests), an error comes out here, and nothing waits.
    """
    with transaction.atomic():
        job, made = Job.objects.get_or_create(
            key=key or f"{task} {uuid4()}",
            defaults={
                "task": task,
                "arguments": list(arguments),
                "asked_at": due or timezone.now(),
            },
        )
        if made:
            _deliver(job, due)
    return job


def try_again(job: Job) -> None:
    """Give a failed job its attempts back and put it into the queue again."""
    with transaction.atomic():
        waiting = Job.objects.filter(pk=job.pk, state=JobState.FAILED)
        if waiting.update(state=JobState.WAITING, attempts=0, ended_at=None):
            _deliver(job)


def run_job(job_id: int) -> None:
    """What the queue calls: do the job once, or leave it to whoever has it."""
    job = _begin(job_id)
    if job is None:
        return
    try:
        import_string(job.task)(*job.arguments)
    except Exception as error:
        if Conf.SYNC:
            raise
        logger.exception("Job %s failed at attempt %s", job.key, job.attempts)
        _after_error(job, error)
    else:
        job.state, job.ended_at, job.trouble = JobState.DONE, timezone.now(), ""
        job.save(update_fields=["state", "ended_at", "trouble"])


def _deliver(job: Job, due: datetime | None = None) -> None:
    broker = DelayedBroker(due) if due else ORM()
    async_task("academy.web.tasks.run_job", job.pk, broker=broker, save=False)


def _begin(job_id: int) -> Job | None:
    """Take the job, unless it has ended, is in another's hands or has killed its workers."""
    now = timezone.now()
    with transaction.atomic():
        job = Job.objects.select_for_update().filter(pk=job_id).first()
        if job is None or job.state in {JobState.DONE, JobState.FAILED}:
            return None
        lease_end = _lease_end(job)
        if lease_end and lease_end > now:
            _deliver(job, lease_end)
            return None
        if job.attempts >= MAX_ATTEMPTS:
            _give_up(job, job.trouble or f"No worker came to the end of it in {job.attempts} tries")
            return None
        job.state, job.begun_at, job.attempts = JobState.RUNNING, now, job.attempts + 1
        job.save(update_fields=["state", "begun_at", "attempts"])
    return job


def _lease_end(job: Job) -> datetime | None:
    """Until when the worker that began this job may still be at it.

    A little less than the queue waits before it gives the job to another worker.
    """
    if job.state != JobState.RUNNING or job.begun_at is None:
        return None
    return job.begun_at + timedelta(seconds=Conf.RETRY - 1)


def _after_error(job: Job, error: Exception) -> None:
    trouble = f"{type(error).__name__}: {error}"
    with transaction.atomic():
        if job.attempts >= MAX_ATTEMPTS:
            _give_up(job, trouble)
            return
        job.state, job.trouble = JobState.WAITING, trouble
        job.save(update_fields=["state", "trouble"])
        _deliver(job, timezone.now() + timedelta(seconds=PAUSES[job.attempts - 1]))


def _give_up(job: Job, trouble: str) -> None:
    job.state, job.ended_at, job.trouble = JobState.FAILED, timezone.now(), trouble
    job.save(update_fields=["state", "ended_at", "trouble"])
    logger.error("Job %s is given up: %s", job.key, trouble)


@dataclass(frozen=True)
class QueueHealth:
    """How the background work stands: counts, and the minutes that the oldest has waited."""

    waiting: int
    running: int
    failed: int
    oldest_minutes: int


def queue_health() -> QueueHealth:
    """Two queries. Many minutes of waiting mean that no worker runs."""
    asked = Job.objects.filter(asked_at__lte=timezone.now())
    states = list(asked.exclude(state=JobState.DONE).values_list("state", flat=True))
    oldest = asked.filter(state=JobState.WAITING).order_by("asked_at").first()
    waited = timezone.now() - oldest.asked_at if oldest else timedelta()
    return QueueHealth(
        waiting=states.count(JobState.WAITING),
        running=states.count(JobState.RUNNING),
        failed=states.count(JobState.FAILED),
        oldest_minutes=int(waited.total_seconds() // 60),
    )


def nightly(task: str) -> None:
    """Let `task` run every night. An app calls this when it is ready, with a dotted path."""
    if task not in _nightly:
        _nightly.append(task)


def run_nightly() -> None:
    """Ask for every nightly task, at most once a day however many machines there are."""
    today = timezone.now().date().isoformat()
    for task in _nightly:
        enqueue(task, key=f"{task} {today}")


def schedule_nightly(*, using: str, **_: object) -> None:
    """See that the nightly work stands in the schedule. Called after every migration.

    Nothing to do where the queue's tables are not, or not yet: only one app may be migrated.
    """
    if Schedule._meta.db_table not in connections[using].introspection.table_names():
        return
    now = timezone.now()
    next_run = datetime.combine(now.date(), NIGHTLY_AT, tzinfo=now.tzinfo)
    if next_run <= now:
        next_run += timedelta(days=1)
    Schedule.objects.using(using).get_or_create(
        name="nightly",
        defaults={
            "func": "academy.web.tasks.run_nightly",
            "schedule_type": Schedule.DAILY,
            "next_run": next_run,
        },
    )


def forget_done_jobs() -> None:
    """Delete jobs that were done a month ago; failed ones stay until someone looks at them."""
    Job.objects.filter(state=JobState.DONE, ended_at__lt=timezone.now() - KEEP_DONE).delete()
