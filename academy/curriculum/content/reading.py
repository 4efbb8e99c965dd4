"""Plain data (a parsed TOML file, a form, a JSON row) to `ModuleContent` and back, without loss."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any, TypeVar

from academy.craft.head.zones import Zone
from academy.curriculum.content.shape import (
    ContentError,
    CriterionContent,
    FaultContent,
    ModuleContent,
    PracticeUnit,
    Problem,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
    TimePer,
)

E = TypeVar("E", bound=StrEnum)
T = TypeVar("T")


class _Table:
    """One table of the data. It notes what it cannot read and goes on: all is said at once."""

    def __init__(self, data: object, path: str, problems: list[Problem], kind: type) -> None:
        self.path, self.problems = path, problems
        self.data: Mapping[str, Any] = data if isinstance(data, Mapping) else {}
        if not isinstance(data, Mapping):
            self.note("", "This must be a group of named values.")
        known = [field.name for field in fields(kind)]
        for name in self.data:
            if name not in known:
                self.note(str(name), f"No such field. The fields here are {', '.join(known)}.")

    def note(self, name: str, sentence: str) -> None:
        path = ".".join(part for part in (self.path, name) if part)
        self.problems.append(Problem(path or "module", sentence))

    def text(self, name: str) -> str:
        value = self.data.get(name, "")
        if isinstance(value, str):
            return value.strip()
        self.note(name, "This must be text.")
        return ""

    def whole(self, name: str, default: int) -> int:
        value = self.data.get(name, default)
        if isinstance(value, int) and not isinstance(value, bool):
            return value
        self.note(name, "This must be a whole number, for example 7.")
        return default

    def flag(self, name: str) -> bool:
        value = self.data.get(name, False)
        if isinstance(value, bool):
            return value
        self.note(name, "This must be true or false.")
        return False

    def number(self, name: str) -> Decimal | None:
        value = self.data.get(name)
        if value is None:
            return None
        number = _decimal(value)
        if number is None:
            self.note(name, "This must be a number, for example 7 or 7.5.")
        return number

    def choice(self, name: str, kind: type[E], default: E) -> E:
        return self._member(name, self.data.get(name, default), kind) or default

    def maybe(self, name: str, kind: type[E]) -> E | None:
        value = self.data.get(name)
        return None if value is None else self._member(name, value, kind)

    def choices(self, name: str, kind: type[E]) -> tuple[E, ...]:
        members = (
            self._member(f"{name}.{n}", value, kind) for n, value in enumerate(self._list(name))
        )
        return tuple(member for member in members if member is not None)

    def texts(self, name: str) -> tuple[str, ...]:
        values = self._list(name)
        for n, value in enumerate(values):
            if not isinstance(value, str):
                self.note(f"{name}.{n}", "This must be text.")
        return tuple(value.strip() if isinstance(value, str) else "" for value in values)

    def each(self, name: str, kind: type[T], read: Callable[[_Table], T]) -> tuple[T, ...]:
        prefix = f"{self.path}.{name}" if self.path else name
        return tuple(
            read(_Table(value, f"{prefix}.{n}", self.problems, kind))
            for n, value in enumerate(self._list(name))
        )

    def _list(self, name: str) -> list[Any]:
        value = self.data.get(name, [])
        if isinstance(value, (list, tuple)):
            return list(value)
        self.note(name, "This must be a list.")
        return []

    def _member(self, name: str, value: object, kind: type[E]) -> E | None:
        try:
            return kind(str(value))
        except ValueError:
            known = ", ".join(kind)
            self.note(name, f"“{value}” is not known here. It can be one of: {known}.")
            return None


def parse_module(data: Mapping[str, Any]) -> ModuleContent:
    """Read a module; a half-written draft is read too, `check` says what it still lacks.

    Absent fields take the defaults of `ModuleContent`; spaces around texts are dropped; numbers in
    millimetres may be whole, decimal or written as text. Raises `ContentError` with every place
    that cannot be read: an unknown field, zone, unit or scope, a value of the wrong kind.
    """
    problems: list[Problem] = []
    table = _Table(data, "", problems, ModuleContent)
    blank = ModuleContent(key="")
    minutes = table.number("time_minutes")
    content = ModuleContent(
        key=table.text("key"),
        title=table.text("title"),
        purpose=table.text("purpose"),
        families=table.texts("families"),
        needs=table.texts("needs"),
        heads_required=table.whole("heads_required", blank.heads_required),
        months_valid=table.whole("months_valid", blank.months_valid),
        time_minutes=blank.time_minutes if minutes is None else minutes,
        time_per=table.choice("time_per", TimePer, blank.time_per),
        time_note=table.text("time_note"),
        cautions=table.texts("cautions"),
        judged_zones=table.choices("judged_zones", Zone),
        steps=table.each("steps", StepContent, _step),
        faults=table.each("faults", FaultContent, _fault),
        criteria=table.each("criteria", CriterionContent, _criterion),
        targets=table.each("targets", TargetLine, _target),
        sheets=table.each("sheets", SheetContent, _sheet),
    )
    if problems:
        raise ContentError(tuple(problems))
    return content


def _step(table: _Table) -> StepContent:
    return StepContent(table.text("head"), table.text("text"), table.flag("to_confirm"))


def _fault(table: _Table) -> FaultContent:
    return FaultContent(table.text("fault"), table.text("cause"))


def _criterion(table: _Table) -> CriterionContent:
    return CriterionContent(
        code=table.text("code"),
        title=table.text("title"),
        scope=table.choice("scope", Scope, Scope.HEAD),
        levels=table.texts("levels"),
        weight=table.whole("weight", 1),
        must_pass=table.flag("must_pass"),
        must_pass_reason=table.text("must_pass_reason"),
        to_confirm=table.flag("to_confirm"),
    )


def _target(table: _Table) -> TargetLine:
    return TargetLine(
        count=table.whole("count", 0),
        unit=table.choice("unit", PracticeUnit, PracticeUnit.HEADS),
        tag=table.text("tag"),
    )


def _sheet(table: _Table) -> SheetContent:
    return SheetContent(
        kind=table.choice("kind", SheetKind, SheetKind.ZONES),
        pattern=table.text("pattern"),
        zone=table.maybe("zone", Zone),
        drawn=table.text("drawn"),
        depth_mm=table.number("depth_mm"),
        left_mm=table.number("left_mm"),
        stitch_mm=table.number("stitch_mm"),
        gap_mm=table.number("gap_mm"),
        foil_mm=table.number("foil_mm"),
        note=table.text("note"),
        to_confirm=table.flag("to_confirm"),
    )


def _decimal(value: object) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, (int, float, str, Decimal)):
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def as_dict(content: ModuleContent) -> dict[str, Any]:
    """Plain data that `parse_module` reads back to an equal value, fit for JSON and TOML alike.

    Fields that hold their default are left out. Whole numbers are written whole, others as text,
    so that no float comes between.
    """
    return _plain(content)


def _plain(value: Any) -> dict[str, Any]:
    plain = {}
    for field in fields(value):
        held = getattr(value, field.name)
        if field.default is MISSING or held != field.default:
            plain[field.name] = _plain_value(held)
    return plain


def _plain_value(held: Any) -> Any:
    if isinstance(held, tuple):
        return [_plain_value(item) for item in held]
    if isinstance(held, StrEnum):
        return held.value
    if isinstance(held, Decimal):
        return int(held) if held == held.to_integral_value() else str(held)
    if isinstance(held, (str, int)):
        return held
    return _plain(held)
