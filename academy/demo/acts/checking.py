"""The verifier's part: samples drawn, sign-offs looked at, one overturned, one action open."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import timedelta
from decimal import Decimal
from functools import partial
from itertools import count
from typing import TYPE_CHECKING, Any

from django.utils import timezone

from academy.assessment.models import SampledDecision, SignOff
from academy.assessment.services.plans import close_action_plan, write_action_plan
from academy.assessment.services.sampling import (
    Batch,
    Promise,
    close_sample_plan,
    draw,
    open_sample_plan,
)
from academy.assessment.services.signing import verify
from academy.craft.head.zones import Zone
from academy.craft.judging.sampling import sample_size
from academy.curriculum.content import PracticeUnit
from academy.demo import story
from academy.demo.stage import Event, HeadKey, Stage
from academy.practice.services import Wanted, set_tasks

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.demo.calendar import Calendar

PROMISE = Promise(rate=Decimal("0.12"), confidence=Decimal("0.95"))
OVERTURNED = ("eero-castell", "patterns", -111)
RENEWED = ("eero-castell", "patterns", -5)
YUSRA = "yusra-lindqvist"
Must = Callable[[Stage, list[HeadKey]], Collection[HeadKey]]
# Yusra's first five: the day each was looked at, the last with an action asked for.
FIRST_FIVE = {
    ("ravi-dunmore", "quarters", -37): -35,
    ("priyanka-moss", "strand-check", -33): -31,
    ("nadia-sorrell", "strand-check", -30): -28,
    ("tamsin-orle", "records", -29): -27,
    ("otis-grenville", "slices", -31): -6,
}
ACTION_ON = ("otis-grenville", "slices", -31)
LOOKED_AT_IN_QUARTER = 9
CERTIFICATES_WAIT = ("wren-adeyemi-hall", "tamsin-orle")
OPEN_BATCH = -4
FIRST_SIGNED, QUARTER_FROM = -460, -90
BITTERN_TO, HERON_TO = -156, -91


def events(calendar: Calendar) -> Iterator[Event]:
    at = calendar.at
    bittern = partial(
        _open, key="bittern", name="Bittern", days=(FIRST_SIGNED, BITTERN_TO), must=_nothing_more
    )
    yield Event(at(-155, 600), bittern)
    yield Event(at(-154, 610), partial(_look_at_drawn, key="bittern", action=True))
    yield Event(at(-152, 900), partial(_close, key="bittern"))
    yield Event(
        at(-90, 600),
        partial(_open, key="heron", name="Heron", days=(-210, HERON_TO), must=_rest_of_signer),
    )
    yield Event(at(-88, 610), partial(_look_at_drawn, key="heron", action=False))
    yield Event(at(-82, 900), partial(_close, key="heron"))
    for key, day in FIRST_FIVE.items():
        yield Event(at(day, 930), partial(_look, key=key, result=_result_for(key)))
    yield Event(at(-12, 610), partial(_look, key=OVERTURNED, result="overturned"))
    quarter = partial(
        _open,
        key="quarter",
        name="Last quarter",
        days=(QUARTER_FROM, OPEN_BATCH - 1),
        must=_main_road,
    )
    yield Event(at(OPEN_BATCH, 600), quarter)
    yield Event(at(OPEN_BATCH, 625), partial(_look, key=RENEWED, result="upheld"))
    yield Event(at(OPEN_BATCH, 650), _first_half)
    yield Event(at(-10, 950), _plan_for_callum)
    yield Event(at(-10, 960), _task_for_callum)
    yield Event(at(-31, 950), _whole_module_for_mei)
    yield Event(at(-6, 950), _mei_is_done)


def _result_for(key: HeadKey) -> str:
    return "action_needed" if key == ACTION_ON else "upheld"


def _open(
    stage: Stage,
    key: str,
    name: str,
    days: tuple[int, int],
    must: Must,
) -> None:
    """Draw a batch with the first seed whose sample is what the story tells."""
    new = [stage.people[YUSRA]] if key == "quarter" else []
    cohort = None if key == "quarter" else stage.cohorts[key]
    stage.samples[key] = open_sample_plan(
        academy=stage.academy,
        by=stage.people[story.VERIFIER],
        batch=Batch(name, stage.calendar.date(days[0]), stage.calendar.date(days[1]), cohort),
        promise=PROMISE,
        seed=seed_for(stage, key, must),
        new_assessors=new,
    )


def seed_for(stage: Stage, batch: str, must: Must) -> int:
    """The smallest seed that draws what must be drawn, with nobody left to be added."""
    others = [key for key in _in_batch(stage, batch) if key not in FIRST_FIVE and key != RENEWED]
    groups = [
        {stage.sign_offs[key].assessor_id, key[1], story.people()[key[0]]["cohort"]}
        for key in others
    ]
    wanted, size = (
        set(must(stage, others)),
        sample_size(len(others), PROMISE.rate, PROMISE.confidence),
    )
    for seed in count(1):
        drawn, added = draw(seed, groups, size)
        names = {others[place] for place in drawn}
        if not added and wanted <= names and OVERTURNED not in names:
            return seed
    raise AssertionError("Counting does not end.")


def _in_batch(stage: Stage, batch: str) -> list[HeadKey]:
    """In the order of signing."""
    if batch != "quarter":
        last = BITTERN_TO if batch == "bittern" else HERON_TO
        return [
            key
            for key in stage.sign_offs
            if story.people()[key[0]]["cohort"] == batch and key[2] <= last
        ]
    return [key for key in stage.sign_offs if key[2] >= QUARTER_FROM]


def _nothing_more(_stage: Stage, _others: list[HeadKey]) -> Collection[HeadKey]:
    return ()


def _rest_of_signer(stage: Stage, others: list[HeadKey]) -> Collection[HeadKey]:
    """All else that the signer of the later overturned one signed: none is left to look at then."""
    signer = stage.sign_offs[OVERTURNED].assessor_id
    return [
        key for key in others if stage.sign_offs[key].assessor_id == signer and key != OVERTURNED
    ]


def _main_road(_stage: Stage, others: list[HeadKey]) -> Collection[HeadKey]:
    """Wren's and Tamsin's, on which certificates wait."""
    return [key for key in others if key[0] in CERTIFICATES_WAIT]


def _look_at_drawn(stage: Stage, key: str, action: bool) -> None:
    """One after the other, a few minutes apart are told as one sitting."""
    rows = SampledDecision.objects.filter(plan=stage.samples[key]).exclude(why="")
    for place, row in enumerate(rows.select_related("sign_off").order_by("pk")):
        if action and place == 4:
            _verify(stage, row.sign_off, "action_needed", 2)
        _verify(stage, row.sign_off, "upheld", place)


def _first_half(stage: Stage) -> None:
    """Wren's and Tamsin's first, then the next drawn until half is done."""
    rows = SampledDecision.objects.filter(plan=stage.samples["quarter"], why="random")
    first = {stage.people[key].pk for key in CERTIFICATES_WAIT}
    ordered = sorted(
        rows.select_related("sign_off").order_by("pk"),
        key=lambda row: row.sign_off.apprentice_id not in first,
    )
    for place, row in enumerate(ordered[:LOOKED_AT_IN_QUARTER]):
        _verify(stage, row.sign_off, "upheld", place)


def _look(stage: Stage, key: HeadKey, result: str) -> None:
    own = _notes(result, key[0])
    note = own[0] if own else None
    _verify(stage, stage.sign_offs[key], result, len(key[1]), note)


def _verify(
    stage: Stage, sign_off: SignOff, result: str, place: int, note: dict[str, Any] | None = None
) -> None:
    general = _notes(result, "")
    row = note or general[place % len(general)]
    due = row.get("due_in_days")
    verify(
        sign_off=sign_off,
        verifier=stage.people[story.VERIFIER],
        result=result,
        text=row["text"],
        due_on=timezone.localdate() + timedelta(days=due) if due else None,
    )


def _notes(result: str, person: str) -> list[dict[str, Any]]:
    rows = story.read("verification_notes")["note"]
    return [
        row
        for row in rows
        if row["result"] == result
        and row.get("person", "") == person
        and not row["text"].startswith("Action closed")
    ]


def _close(stage: Stage, key: str) -> None:
    close_sample_plan(plan=stage.samples[key], by=stage.people[story.VERIFIER])


def _whole_module_for_mei(stage: Stage) -> None:
    stage.plans["mei-fairbrother"] = write_action_plan(
        academy=stage.academy,
        educator=stage.people[story.JOSIAH],
        apprentice=stage.people["mei-fairbrother"],
        version=stage.versions["slices"],
        text="Two panels a session from the first foil to the last; then the whole module again.",
        due_on=stage.calendar.date(-7),
        whole_module=True,
    )


def _mei_is_done(stage: Stage) -> None:
    close_action_plan(
        plan=stage.plans["mei-fairbrother"],
        educator=stage.people[story.JOSIAH],
        came_of="Even from the first foil to the last, and competent on the third head.",
    )


def _task_for_callum(stage: Stage) -> None:
    set_tasks(
        academy=stage.academy,
        educator=stage.people[story.MAREN],
        module=stage.versions["white-coverage"].module,
        apprentices=[stage.people["callum-breck"]],
        wanted=Wanted(
            count=3,
            unit=PracticeUnit.HEADS,
            due_on=stage.calendar.date(9),
            zone=Zone.NAPE.value,
            note="Lowest row first, at 3 mm.",
        ),
    )


def _plan_for_callum(stage: Stage) -> None:
    write_action_plan(
        academy=stage.academy,
        educator=stage.people[story.MAREN],
        apprentice=stage.people["callum-breck"],
        version=stage.versions["white-coverage"],
        text=(
            "Six nape panels at 3 mm, lowest row first, two a session, Maren beside the block. "
            "Then the whole module again with an assessor who has not marked it before."
        ),
        due_on=stage.calendar.date(9),
        whole_module=True,
    )
