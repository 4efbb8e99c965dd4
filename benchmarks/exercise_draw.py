"""How fast questions are drawn and marked, and a paper for a whole year is drawn and stored.

    python benchmarks/exercise_draw.py [families|paper]

For each family and level: whole diagnosable questions a second (parameters, key, slips told
apart, texts, worked solution) beside bare parameters that meet its constraints, thrown with the
same dice in the same run, and answers marked a second, half of them right, half slips. Seconds
are those of the processor, so that others may work on the machine. Then a paper of ten questions
of ten families for 500 apprentices, set and drawn as the worker does it, by both clocks: on
SQLite in a file, and on PostgreSQL where DATABASE_URL names an empty database.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from academy.craft.exercise.engine import (  # noqa: E402  (found by the path above)
    Dice,
    Level,
    Material,
    Question,
    draw,
    families,
    made_from_a_module,
    mark,
)
from academy.craft.rules import Rules, standard_rules  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Callable

QUESTIONS = 400
PEOPLE, EACH = 500, 10
STEPS = Material("A module", tuple(f"Step number {n}" for n in range(1, 9)))


def rate(work: Callable[[], object], times: int) -> float:
    """How often a second of CPU; the better of two runs."""
    best = 0.0
    for _ in range(2):
        begun = time.process_time()
        for _ in range(times):
            work()
        best = max(best, times / (time.process_time() - begun))
    return best


def bare(family: Any, level: Level, rules: Rules) -> Callable[[], object]:
    """Throw parameters until they meet the constraints, and build nothing on them."""
    made = family.made_from(STEPS) if made_from_a_module(family) else family
    seeds = iter(range(10**9))

    def throw() -> None:
        dice = Dice(f"{family.key}/{level}/{next(seeds)}")
        while made.draw(dice, level, rules) is None:
            pass

    return throw


def whole(family: Any, level: Level, rules: Rules) -> Callable[[], Question]:
    material = STEPS if made_from_a_module(family) else None
    seeds = iter(range(10**9))
    return lambda: draw(family.key, level, next(seeds), rules, material=material)


def marked_a_second(questions: list[Question]) -> float:
    """Answers marked a second of CPU: each question once right and once with its slips.

    Nothing is marked twice, since how a text reads may be kept.
    """
    papers = []
    for question in questions:
        right = {field.key: field.printed(question.key[field.key]) for field in question.fields}
        slips = {m.field: question.field(m.field).printed(m.value) for m in question.mistakes}
        papers += [(question, right), (question, {**right, **slips})]
    begun = time.process_time()
    for question, answers in papers:
        mark(question, answers)
    return sum(len(right) for _, right in papers) / (time.process_time() - begun)


def measure_families() -> None:
    print(f"{'family':30} {'level':8} whole/s    bare/s  ratio  answers marked/s")
    rules, rates, marked = Rules(standard_rules()), [], []
    for family in families():
        for level in Level:
            drawn = rate(whole(family, level, rules), QUESTIONS)
            thrown = rate(bare(family, level, rules), QUESTIONS)
            one = whole(family, level, rules)
            rates.append(drawn)
            marked.append(marked_a_second([one() for _ in range(QUESTIONS)]))
            print(
                f"{family.key:30} {level:8} {drawn:7.0f} {thrown:9.0f} {drawn / thrown:6.2f}"
                f" {marked[-1]:17.0f}"
            )
    print(f"questions a second: median {statistics.median(rates):.0f}, slowest {min(rates):.0f}")
    print(f"answers a second: median {statistics.median(marked):.0f}, slowest {min(marked):.0f}")


def measure_paper() -> None:
    """In a process of its own with its settings: 500 apprentices, ten questions each."""
    import django  # noqa: PLC0415  (the settings are named first)

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415
    from django.db import connection  # noqa: PLC0415

    from academy.exercises import paper_tasks, services  # noqa: PLC0415
    from academy.exercises.drawing import draw_each  # noqa: PLC0415
    from academy.exercises.models import Question as Row  # noqa: PLC0415
    from academy.exercises.services.draws import BATCH  # noqa: PLC0415
    from academy.people.models import CohortPlace, Person, Role  # noqa: PLC0415
    from tests.site import factories  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    academy = factories.AcademyFactory()
    educator = factories.MembershipFactory(academy=academy, role=Role.EDUCATOR).person
    cohort = factories.CohortFactory(academy=academy)
    people = Person.objects.bulk_create(
        Person(email=f"{n}@example.test", name=f"Apprentice {n:03}") for n in range(PEOPLE)
    )
    CohortPlace.objects.bulk_create(CohortPlace(cohort=cohort, person=person) for person in people)
    asked = [family.key for family in families() if not made_from_a_module(family)][:EACH]
    parts = [
        services.PartWanted(key, Level.WORKING, EACH // len(asked) + (n < EACH % len(asked)))
        for n, key in enumerate(asked)
    ]
    wanted = services.Wanted(cohort=cohort, title="All", parts=parts, seed=51907734)

    whole = Stopwatch()
    paper = services.set_paper(academy=academy, by=educator, wanted=wanted)
    put_off = whole.wall
    paper_tasks.draw_questions(paper.pk, paper.edition)
    whole.stop()
    assert paper.questions.count() == PEOPLE * EACH  # noqa: S101
    drawing = Stopwatch()
    rows = draw_each(paper, [person.pk for person in people], attempt=2)
    drawing.stop()
    storing = Stopwatch()
    Row.objects.bulk_create(rows, batch_size=BATCH)
    storing.stop()
    ratio = whole.cpu / (drawing.cpu + storing.cpu)
    print(
        f"{connection.vendor}, {PEOPLE} x {EACH}: {whole}, of which the educator waits "
        f"{put_off:.2f} s; only drawn {drawing}, only stored {storing}; whole over both {ratio:.2f}"
    )


class Stopwatch:
    """Seconds by the clock and of this process since it was made."""

    def __init__(self) -> None:
        self._begun = time.perf_counter(), time.process_time()
        self._ended: tuple[float, float] | None = None

    def stop(self) -> None:
        self._ended = time.perf_counter(), time.process_time()

    @property
    def wall(self) -> float:
        return (self._ended or (time.perf_counter(), 0))[0] - self._begun[0]

    @property
    def cpu(self) -> float:
        return (self._ended or (0, time.process_time()))[1] - self._begun[1]

    def __str__(self) -> str:
        return f"{self.wall:.2f} s ({self.cpu:.2f} s CPU)"


def measure_papers() -> None:
    for url in dict.fromkeys(["", os.environ.get("DATABASE_URL", "")]):
        with tempfile.TemporaryDirectory() as data:
            subprocess.run(  # noqa: S603  (this file itself)
                [sys.executable, "-W", "ignore", __file__, "one-paper"],
                check=True,
                env={
                    **os.environ,
                    "DATABASE_URL": url,
                    "BLOCKWORK_DATA": data,
                    "DJANGO_SETTINGS_MODULE": "academy.settings.dev",
                },
            )


if __name__ == "__main__":
    chosen = sys.argv[1:] or ["families", "paper"]
    if chosen == ["one-paper"]:
        measure_paper()
    if "families" in chosen:
        measure_families()
    if "paper" in chosen:
        measure_papers()
