"""The guard of the task workers, made to outlive the sudden death of any of its processes.

The processes of a django-q2 cluster hand each other work through multiprocessing queues. One
that is killed while it waits at a queue (by the kernel for want of memory, or by hand) keeps
the queue's lock for ever, and django-q2 1.11 goes on with a cluster in which nothing moves.
Here the guard then ends what is left and starts afresh with new queues. Nothing is lost by it:
the place in the database queue is given up only when a job is done.
"""

from __future__ import annotations

import logging
from multiprocessing import Event
from typing import Any

from django_q.cluster import Sentinel
from django_q.conf import Conf
from django_q.queues import Queue

logger = logging.getLogger(__name__)

IDLE = -1


class QueueStuckError(Exception):
    """A process died at a queue, so the others may wait for its lock for ever."""


class WatchfulSentinel(Sentinel):  # type: ignore[misc]  # django-q2 has no types
    def guard(self) -> None:
        while True:
            try:
                super().guard()
            except QueueStuckError:
                logger.warning("A worker process was killed at its queue: all are started afresh")
                self.start_afresh()
            else:
                return

    def reincarnate(self, process: Any) -> None:
        killed = bool(process.exitcode and process.exitcode < 0)
        at_queue = process in {self.monitor, self.pusher} or process.timer.value == IDLE
        if killed and at_queue:
            raise QueueStuckError
        super().reincarnate(process)

    def start_afresh(self) -> None:
        for process in [*self.pool, self.pusher, self.monitor]:
            process.kill()
            process.join()
        self.task_queue = Queue(maxsize=Conf.QUEUE_LIMIT)
        self.result_queue = Queue()
        self.event_out = Event()
        self.spawn_cluster()
