"""How fast a record is verified, beside hashing the same bytes alone, and what a checkpoint adds.

    python benchmarks/record_verify.py [entries] [tail]

A record of so many entries (100,000 where nothing is said; the whole is 1,000,000) is written
straight into the table of an SQLite file, or of PostgreSQL where DATABASE_URL names an empty
database, and signed. Then, in one run and by the better of two:
  hash     SHA-256 over the same bytes in memory: the limit
  chain    everything but roots: hashes, links, numbers, displayed columns, signed heads
  roots    the same with every Merkle root built again
  tail     what is new since the newest checkpoint (10,000 entries)
  sign     the next checkpoint, which reads those entries alone
On SQLite a long stretch is followed on every processor. Seconds are those of the clock; those of
all processors together stand beside them.
Wanted: chain at 0.4 of the rate of hash, the tail in a hundredth of the whole for 1,000,000.
"""

from __future__ import annotations

import hashlib
import os
import resource
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))
ENTRIES, TAIL, AT_ONCE = 100_000, 10_000, 5_000

if TYPE_CHECKING:
    from collections.abc import Callable


def write(first: int, last: int, head: bytes) -> bytes:
    """Put entries into the table as the services leave them; gives the hash of the last."""
    from academy.audit.envelope import Envelope  # noqa: PLC0415  (the settings are named first)
    from academy.audit.models import Entry  # noqa: PLC0415
    from academy.craft.proof.chain import entry_hash  # noqa: PLC0415

    begun = datetime(2026, 1, 5, 9, 0, 0, 123456, tzinfo=UTC)
    for start in range(first, last + 1, AT_ONCE):
        rows = []
        for number in range(start, min(start + AT_ONCE, last + 1)):
            envelope = Envelope(
                academy_id=1,
                at=begun + timedelta(seconds=7 * number, microseconds=number % 997),
                actor_id=number % 40,
                about_id=number % 500,
                request_id="5f0c5f0c5f0c5f0c",
                action="assessment.assessment.submitted",
                subject_type="assessment.assessment",
                subject_id=number,
                sequence=number,
            )
            before, after = envelope.around_number(
                {
                    "apprentice": number % 500,
                    "by_marks": "competent",
                    "head_mark": "72.500",
                    "kind": "first",
                    "rule_set": 3,
                    "version": number % 20,
                }
            )
            content = before + b"%d" % number + after
            previous, head = head, entry_hash(head, content)
            rows.append(
                Entry(
                    academy_id=1,
                    at=envelope.at,
                    actor_id=envelope.actor_id,
                    about_id=envelope.about_id,
                    request_id=envelope.request_id,
                    action=envelope.action,
                    subject_type=envelope.subject_type,
                    subject_id=envelope.subject_id,
                    sequence=number,
                    canonical=content,
                    previous_hash=previous,
                    hash=head,
                )
            )
        Entry.objects.bulk_create(rows)
    return head


def timed(work: Callable[[], Any]) -> tuple[float, float]:
    """Seconds by the clock, and of the processors, those of other processes included."""
    clock, worked = time.perf_counter(), _of_processors()
    work()
    return time.perf_counter() - clock, _of_processors() - worked


def better_of_two(work: Callable[[], Any]) -> tuple[float, float]:
    return min(timed(work), timed(work))


def _of_processors() -> float:
    both = (resource.getrusage(of) for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(used.ru_utime + used.ru_stime for used in both)


def measure(entries: int, tail: int) -> None:
    import django  # noqa: PLC0415

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415
    from django.db import connection  # noqa: PLC0415

    from academy.audit import keys  # noqa: PLC0415
    from academy.audit.checkpoints import after, make_checkpoint  # noqa: PLC0415
    from academy.audit.models import Checkpoint, Entry  # noqa: PLC0415
    from academy.audit.verifying import verify_chain, verify_stretch  # noqa: PLC0415
    from academy.craft.proof.chain import genesis  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    keys.make_key()
    head = write(1, entries, genesis(1))
    first = make_checkpoint(1)
    contents = [
        bytes(content)
        for content in Entry.objects.for_chain(1).values_list("canonical", flat=True).iterator()
    ]

    def bare() -> None:
        sha256 = hashlib.sha256
        for content in contents:
            sha256(content).digest()

    def whole(*, roots: bool) -> None:
        found = verify_chain(1, roots=roots)
        if found.broken or found.checked < entries:
            raise SystemExit(f"The record does not verify: {found.broken}")

    rows = {
        "hash": better_of_two(bare),
        "chain": better_of_two(lambda: whole(roots=False)),
        "roots": better_of_two(lambda: whole(roots=True)),
    }
    write(entries + 1, entries + tail, head)

    def new() -> None:
        found = verify_stretch(1, after(first), entries + tail)
        if found.broken:
            raise SystemExit(f"The tail does not verify: {found.broken}")

    rows["tail"] = better_of_two(new)
    rows["sign"] = timed(lambda: make_checkpoint(1))
    made = Checkpoint.objects.of(1).latest("size")
    size = sum(len(bytes(part)) for part in (made.peaks, made.chunks))
    print(f"{connection.vendor}, {entries} entries, {os.cpu_count()} processors")
    for name, (seconds, cpu) in rows.items():
        count = entries if name in {"hash", "chain", "roots"} else tail
        print(
            f"{name:6} {seconds:8.3f} s {count / seconds:11,.0f}/s  of hash "
            f"{rows['hash'][0] / entries * count / seconds:5.2f} by the clock, "
            f"{rows['hash'][1] / entries * count / cpu:5.2f} by the processor"
        )
    print(f"tail / chain {rows['tail'][0] / rows['chain'][0]:.4f}")
    print(f"the next checkpoint keeps {size} bytes for {tail} entries")


def main(entries: int = ENTRIES, tail: int = TAIL) -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "DJANGO_SETTINGS_MODULE": "academy.settings.dev",
            "BLOCKWORK_DATA": folder,
            "DATABASE_URL": os.environ.get("DATABASE_URL", ""),
        }
        measure(entries, tail)


if __name__ == "__main__":
    main(*(int(number) for number in sys.argv[1:]))
