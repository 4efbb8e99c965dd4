from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.core.management import call_command
from django.db import connections, transaction
from django.utils import timezone
from django_q.conf import Conf
from django_q.models import OrmQ, Schedule

from academy.web import tasks
from academy.web.models import Job, JobState
from academy.web.tasks import enqueue, queue_health, run_job, try_again

if TYPE_CHECKING:
    from pytest_django.plugin import DjangoDbBlocker

SECOND = {"ENGINE": "django.db.backends.sqlite3"}
RUNS: list[str] = []


def note(word: str) -> None:
    RUNS.append(word)


def fail(word: str) -> None:
    raise ValueError(word)


NOTE, FAIL = f"{__name__}.note", f"{__name__}.fail"


@pytest.fixture
def queued(monkeypatch: pytest.MonkeyPatch) -> None:
    """Jobs wait in the queue, as on the site, and tests hand them out."""
    RUNS.clear()
    monkeypatch.setattr(Conf, "SYNC", False)


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def test_a_job_waits_in_the_queue_and_is_done_by_a_worker(queued: None) -> None:
    job = enqueue(NOTE, "a")
    assert (job.state, RUNS, OrmQ.objects.count()) == (JobState.WAITING, [], 1)
    run_job(job.pk)
    assert (fresh(job).state, RUNS) == (JobState.DONE, ["a"])


def test_the_same_key_is_one_job(queued: None) -> None:
    assert enqueue(NOTE, "a", key="once") == enqueue(NOTE, "a", key="once")
    assert OrmQ.objects.count() == 1


def test_a_job_of_a_transaction_that_failed_was_never_asked_for(queued: None) -> None:
    def ask_and_fail() -> None:
        with transaction.atomic():
            enqueue(NOTE, "a")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        ask_and_fail()
    assert (Job.objects.count(), OrmQ.objects.count()) == (0, 0)


def test_a_job_that_is_delivered_twice_runs_once(queued: None) -> None:
    job = enqueue(NOTE, "a")
    run_job(job.pk)
    run_job(job.pk)
    assert RUNS == ["a"]


def test_a_job_in_another_workers_hands_is_put_off_until_that_worker_must_have_ended(
    queued: None,
) -> None:
    job = enqueue(NOTE, "a")
    OrmQ.objects.all().delete()
    begun = timezone.now()
    Job.objects.filter(pk=job.pk).update(state=JobState.RUNNING, begun_at=begun, attempts=1)
    run_job(job.pk)
    assert RUNS == []
    assert OrmQ.objects.get().lock == begun + timedelta(seconds=Conf.RETRY - 1)


def test_after_trouble_a_job_is_tried_again_with_growing_pauses(queued: None) -> None:
    with time_machine.travel(datetime(2026, 3, 2, 9, 0, tzinfo=UTC), tick=False):
        job = enqueue(FAIL, "no paper")
        pauses = []
        for _ in tasks.PAUSES:
            OrmQ.objects.all().delete()
            run_job(job.pk)
            pauses.append(int((OrmQ.objects.get().lock - timezone.now()).total_seconds()))
    assert pauses == list(tasks.PAUSES)
    assert (fresh(job).state, fresh(job).trouble) == (JobState.WAITING, "ValueError: no paper")


def test_after_the_last_attempt_a_job_is_given_up_until_someone_asks_again(queued: None) -> None:
    job = enqueue(FAIL, "no paper")
    for _ in range(tasks.MAX_ATTEMPTS):
        run_job(job.pk)
    assert (fresh(job).state, queue_health().failed) == (JobState.FAILED, 1)
    try_again(job)
    assert (fresh(job).state, fresh(job).attempts) == (JobState.WAITING, 0)


def test_a_job_that_killed_all_its_workers_is_given_up(queued: None) -> None:
    job = enqueue(NOTE, "a")
    long_ago = timezone.now() - timedelta(hours=1)
    Job.objects.update(state=JobState.RUNNING, begun_at=long_ago, attempts=tasks.MAX_ATTEMPTS)
    run_job(job.pk)
    assert (fresh(job).state, RUNS) == (JobState.FAILED, [])
    assert fresh(job).trouble == "No worker came to the end of it in 4 tries"


def test_in_tests_a_job_is_done_at_once_and_its_error_comes_out() -> None:
    RUNS.clear()
    assert fresh(enqueue(NOTE, "a")).state == JobState.DONE
    assert RUNS == ["a"]
    with pytest.raises(ValueError, match="no paper"):
        enqueue(FAIL, "no paper")


def test_the_health_of_the_queue_tells_how_long_the_oldest_has_waited(queued: None) -> None:
    enqueue(NOTE, "a")
    Job.objects.update(asked_at=timezone.now() - timedelta(minutes=7))
    enqueue(NOTE, "b")
    assert queue_health() == tasks.QueueHealth(waiting=2, running=0, failed=0, oldest_minutes=7)


def test_a_job_that_is_due_later_is_not_taken_before_and_does_not_count_as_waiting(
    queued: None,
) -> None:
    due = timezone.now() + timedelta(minutes=40)
    enqueue(NOTE, "later", due=due)
    assert OrmQ.objects.get().lock == due
    assert queue_health() == tasks.QueueHealth(waiting=0, running=0, failed=0, oldest_minutes=0)
    with time_machine.travel(due + timedelta(minutes=7)):
        assert queue_health().oldest_minutes == 7


def test_nightly_work_is_in_the_schedule_and_asked_for_once_a_day(queued: None) -> None:
    assert Schedule.objects.get(name="nightly").func == "academy.web.tasks.run_nightly"
    with time_machine.travel(datetime(2026, 3, 2, 2, 30, tzinfo=UTC)):
        tasks.run_nightly()
        tasks.run_nightly()
    keys = Job.objects.values_list("key", flat=True)
    assert "academy.web.tasks.forget_done_jobs 2026-03-02" in keys
    assert len(set(keys)) == len(keys)


@pytest.fixture
def elsewhere(django_db_blocker: DjangoDbBlocker, tmp_path: Path) -> Iterator[str]:
    """The alias of a second database, a file in which nothing is migrated yet."""
    wanted = connections.configure_settings({"default": {}, "elsewhere": SECOND})["elsewhere"]
    connections.databases["elsewhere"] = {**wanted, "NAME": tmp_path / "elsewhere.sqlite3"}
    with django_db_blocker.unblock():
        yield "elsewhere"
        connections["elsewhere"].close()
    del connections["elsewhere"], connections.databases["elsewhere"]


def test_migrating_one_app_of_another_database_schedules_nothing(elsewhere: str) -> None:
    call_command("migrate", "contenttypes", database=elsewhere, verbosity=0)
    assert "django_q_schedule" not in connections[elsewhere].introspection.table_names()


def test_another_database_has_the_nightly_work_in_its_own_schedule(elsewhere: str) -> None:
    Schedule.objects.all().delete()
    call_command("migrate", "django_q", database=elsewhere, verbosity=0)
    assert Schedule.objects.using(elsewhere).get().name == "nightly"
    assert not Schedule.objects.exists()


def test_jobs_done_a_month_ago_are_forgotten_and_failed_ones_are_not(queued: None) -> None:
    old = timezone.now() - timedelta(days=31)
    for state in JobState.values:
        enqueue(NOTE, state, key=state)
        Job.objects.filter(key=state).update(state=state, ended_at=old)
    tasks.forget_done_jobs()
    assert set(Job.objects.values_list("key", flat=True)) == set(JobState.values) - {"done"}
