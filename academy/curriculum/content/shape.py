"""What a module holds, as plain frozen values: the one form that files, forms and rows share."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from academy.craft.head.zones import Zone

LEVEL_COUNT = 5


class Scope(StrEnum):
    """Where a criterion is judged: once in every judged zone, or once for the whole head."""

    ZONES = "zones"
    HEAD = "head"


class PracticeUnit(StrEnum):
    """What a practice target counts."""

    HEADS = "heads"
    PANELS = "panels"
    FOILS = "foils"
    SETUPS = "set-ups"
    CHECKS = "checks"
    RECORDS = "records"
    PLANS = "plans"


class TimePer(StrEnum):
    """What the time allowed is for: the whole assessed work, or one piece of it."""

    WORK = "work"
    FOIL = "foil"
    CHECK = "check"
    PLAN = "plan"


class SheetKind(StrEnum):
    """What is drawn on a head sheet. A module without sheets answers `NONE`."""

    NONE = "none"
    ZONES = "zones"
    PATTERN = "pattern"


class Problem(NamedTuple):
    """One thing that is wrong: the path of a field, such as `criteria.2.code`, and a sentence."""

    path: str
    sentence: str


class ContentError(Exception):
    """The data cannot be read as a module. `problems` says where and why, in reading order."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(" ".join(f"{path}: {sentence}" for path, sentence in problems))
        self.problems = problems


@dataclass(frozen=True)
class StepContent:
    """One step of the technique: a short bold head and the text after it."""

    head: str
    text: str
    to_confirm: bool = False


@dataclass(frozen=True)
class FaultContent:
    """A fault that can be marked as a point, with its likely cause as a hint to the assessor."""

    fault: str
    cause: str


@dataclass(frozen=True)
class CriterionContent:
    """One thing that is judged. `levels` holds the texts of levels 0 to 4; it is met at level 3."""

    code: str
    title: str
    scope: Scope
    levels: tuple[str, ...]
    weight: int = 1
    must_pass: bool = False
    must_pass_reason: str = ""
    to_confirm: bool = False


@dataclass(frozen=True)
class TargetLine:
    """One line of the practice target. With a tag, only practice that carries the tag counts."""

    count: int
    unit: PracticeUnit
    tag: str = ""


@dataclass(frozen=True)
class SheetContent:
    """One head sheet of an assessed head.

    All sizes are millimetres. `zone` is set for the pattern `one_panel` only, `drawn` for an own
    pattern only: the text of `DrawnSection.to_data`. `stitch_mm` and `gap_mm` are set together for
    a weave and empty for whole slices and for partings without foils.
    """

    kind: SheetKind
    pattern: str = ""
    zone: Zone | None = None
    drawn: str = ""
    depth_mm: Decimal | None = None
    left_mm: Decimal | None = None
    stitch_mm: Decimal | None = None
    gap_mm: Decimal | None = None
    foil_mm: Decimal | None = None
    note: str = ""
    to_confirm: bool = False


@dataclass(frozen=True)
class ModuleContent:
    """A technique as it is taught, practised and assessed.

    `heads_required` assessed heads in a row must be competent before sign-off; a sign-off stays in
    date for `months_valid` months. `needs` holds the keys of the modules that must be signed off
    before this one may be assessed. `time_minutes` is the time allowed for one `time_per`.
    """

    key: str
    title: str = ""
    purpose: str = ""
    families: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    heads_required: int = 1
    months_valid: int = 24
    time_minutes: Decimal = Decimal(30)
    time_per: TimePer = TimePer.WORK
    time_note: str = ""
    cautions: tuple[str, ...] = ()
    judged_zones: tuple[Zone, ...] = ()
    steps: tuple[StepContent, ...] = ()
    faults: tuple[FaultContent, ...] = ()
    criteria: tuple[CriterionContent, ...] = ()
    targets: tuple[TargetLine, ...] = ()
    sheets: tuple[SheetContent, ...] = ()

    @property
    def sheet_kind(self) -> SheetKind:
        """`NONE` without sheets, `PATTERN` as soon as one sheet has a pattern, else `ZONES`."""
        if not self.sheets:
            return SheetKind.NONE
        kinds = {sheet.kind for sheet in self.sheets}
        return SheetKind.PATTERN if SheetKind.PATTERN in kinds else SheetKind.ZONES
