"""What printing a cohort's papers costs: the time for each page, and the memory, as it grows.

    python benchmarks/exercise_print.py [apprentices …]

Ten questions of different families for each of 10, 50 and 100 apprentices, every size in a
process of its own. The cost grows in proportion to pages where the last column stays near 1, and
the memory is bounded where it stops growing once there is more than one batch. The processor's
seconds are compared, which say the same beside other work.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SIZES = (10, 50, 100)
QUESTIONS = 10


def measure(people: int) -> None:
    """Print the pages, seconds, processor seconds, peak megabytes and bytes of one print."""
    import django  # noqa: PLC0415  (the settings are named first)

    django.setup()
    from django.conf import settings  # noqa: PLC0415
    from django.core.management import call_command  # noqa: PLC0415

    from academy.craft.exercise.engine import Level, families, made_from_a_module  # noqa: PLC0415
    from academy.exercises import services  # noqa: PLC0415
    from academy.people.models import Role  # noqa: PLC0415
    from tests.site import factories  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    academy = factories.AcademyFactory(slug="larkmere")
    educator = factories.PersonFactory()
    factories.MembershipFactory(academy=academy, person=educator, role=Role.EDUCATOR)
    cohort = factories.CohortFactory(academy=academy)
    for _ in range(people):
        person = factories.PersonFactory()
        factories.MembershipFactory(academy=academy, person=person, role=Role.APPRENTICE)
        factories.CohortPlaceFactory(cohort=cohort, person=person)
    asked = [family.key for family in families() if not made_from_a_module(family)]
    # At most as many parts as a paper may have, together ten questions.
    kept = asked[: min(len(asked), 5)]
    counts = [QUESTIONS // len(kept) + (n < QUESTIONS % len(kept)) for n in range(len(kept))]
    parts = [
        services.PartWanted(family, Level.WORKING, count)
        for family, count in zip(kept, counts, strict=True)
    ]
    wanted = services.Wanted(cohort=cohort, title="All of it", parts=parts, seed=51907734)
    paper = services.set_paper(academy=academy, by=educator, wanted=wanted)
    with tempfile.TemporaryDirectory() as media:
        settings.MEDIA_ROOT = media
        begun, worked = time.perf_counter(), time.process_time()
        row = services.ask_print(paper=paper, by=educator, what="papers")
        spent, cpu = time.perf_counter() - begun, time.process_time() - worked
        assert row.file, row.trouble  # noqa: S101
        size = row.file.size
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(row.pages, spent, cpu, peak, size)


def main(sizes: list[int]) -> None:
    print("apprentices  pages  seconds  CPU ms a page  peak MB  kB a page  CPU / first row")
    first = 0.0
    for people in sizes:
        done = subprocess.run(  # noqa: S603  (this file itself)
            [sys.executable, "-W", "ignore", __file__, "one", str(people)],
            check=True,
            capture_output=True,
            text=True,
            env={
                **os.environ,
                "PYTHONPATH": str(ROOT),
                "DJANGO_SETTINGS_MODULE": "academy.settings.test",
            },
        )
        pages, spent, cpu, peak, size = map(float, done.stdout.splitlines()[-1].split())
        each = 1000 * cpu / pages
        first = first or each
        print(
            f"{people:11}  {pages:5.0f}  {spent:7.1f}  {each:13.1f}  {peak:7.0f}"
            f"  {size / pages / 1024:9.1f}  {each / first:15.2f}"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["one"]:
        measure(int(sys.argv[2]))
    else:
        main([int(size) for size in sys.argv[1:]] or list(SIZES))
