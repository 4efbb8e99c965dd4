"""A version's rows as `ModuleContent`, and back: nothing is lost on either way."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, replace
from typing import TYPE_CHECKING

from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    CriterionContent,
    FaultContent,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
    TimePer,
    as_dict,
)
from academy.curriculum.models import (
    Criterion,
    Fault,
    Module,
    ModuleVersion,
    Prerequisite,
    Sheet,
    Step,
    TargetLine as TargetRow,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

_PLAIN = ("title", "purpose", "heads_required", "months_valid", "time_minutes", "time_note")
_SIZES = ("depth_mm", "left_mm", "stitch_mm", "gap_mm", "foil_mm")


def content_of(version: ModuleVersion) -> ModuleContent:
    """The content of a version; no query after `ModuleVersion.objects.with_parts()`, else seven."""
    return ModuleContent(
        key=version.module.key,
        **{name: getattr(version, name) for name in _PLAIN},
        families=tuple(version.families),
        needs=tuple(need.needs.key for need in version.prerequisites.all()),
        time_per=TimePer(version.time_per),
        cautions=tuple(version.cautions),
        judged_zones=tuple(Zone(zone) for zone in version.judged_zones),
        steps=tuple(StepContent(row.head, row.text, row.to_confirm) for row in version.steps.all()),
        faults=tuple(FaultContent(row.fault, row.cause) for row in version.faults.all()),
        criteria=tuple(_criterion(row) for row in version.criteria.all()),
        targets=tuple(
            TargetLine(row.count, PracticeUnit(row.unit), row.tag) for row in version.targets.all()
        ),
        sheets=tuple(sheet_of(row) for row in version.sheets.all()),
    )


def _criterion(row: Criterion) -> CriterionContent:
    return CriterionContent(
        code=row.code,
        title=row.title,
        scope=Scope(row.scope),
        levels=row.levels,
        weight=row.weight,
        must_pass=row.must_pass,
        must_pass_reason=row.must_pass_reason,
        to_confirm=row.to_confirm,
    )


def sheet_of(row: Sheet) -> SheetContent:
    """One sheet's row as plain values."""
    return SheetContent(
        kind=SheetKind(row.kind),
        pattern=row.pattern,
        zone=Zone(row.zone) if row.zone else None,
        drawn=row.drawn,
        **{name: getattr(row, name) for name in _SIZES},
        note=row.note,
        to_confirm=row.to_confirm,
    )


def write_rows(version: ModuleVersion, content: ModuleContent, needs: Iterable[Module]) -> None:
    """Put `content` in the place of all that a draft holds; `needs` are the rows of its needs."""
    for name in _PLAIN:
        setattr(version, name, getattr(content, name))
    version.families = list(content.families)
    version.cautions = list(content.cautions)
    version.judged_zones = [zone.value for zone in content.judged_zones]
    version.time_per = content.time_per.value
    version.save()
    for part in ("steps", "faults", "criteria", "targets", "sheets", "prerequisites"):
        getattr(version, part).all().delete()
    Step.objects.bulk_create(
        Step(version=version, position=n, head=s.head, text=s.text, to_confirm=s.to_confirm)
        for n, s in enumerate(content.steps, 1)
    )
    Fault.objects.bulk_create(
        Fault(version=version, position=n, fault=f.fault, cause=f.cause)
        for n, f in enumerate(content.faults, 1)
    )
    Criterion.objects.bulk_create(
        _criterion_row(version, n, c) for n, c in enumerate(content.criteria, 1)
    )
    TargetRow.objects.bulk_create(
        TargetRow(version=version, position=n, count=t.count, unit=t.unit.value, tag=t.tag)
        for n, t in enumerate(content.targets, 1)
    )
    Sheet.objects.bulk_create(_sheet_row(version, n, s) for n, s in enumerate(content.sheets, 1))
    Prerequisite.objects.bulk_create(Prerequisite(version=version, needs=need) for need in needs)


def _criterion_row(version: ModuleVersion, position: int, criterion: CriterionContent) -> Criterion:
    levels = [*criterion.levels, "", "", "", "", ""]
    return Criterion(
        version=version,
        position=position,
        code=criterion.code,
        title=criterion.title,
        scope=criterion.scope.value,
        weight=criterion.weight,
        must_pass=criterion.must_pass,
        must_pass_reason=criterion.must_pass_reason,
        to_confirm=criterion.to_confirm,
        **{f"level_{n}": levels[n] for n in range(5)},
    )


def _sheet_row(version: ModuleVersion, position: int, sheet: SheetContent) -> Sheet:
    return Sheet(
        version=version,
        position=position,
        kind=sheet.kind.value,
        pattern=sheet.pattern,
        zone=sheet.zone.value if sheet.zone else "",
        drawn=sheet.drawn,
        **{name: getattr(sheet, name) for name in _SIZES},
        note=sheet.note,
        to_confirm=sheet.to_confirm,
    )


def fingerprint(content: ModuleContent, names: Iterable[str]) -> str:
    """A short sum of some parts of a module: two pages that saw the same have the same sum."""
    held = as_dict(content)
    chosen = {name: held[name] for name in sorted(names) if name in held}
    text = json.dumps(chosen, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:22]


def fingerprint_of_all(content: ModuleContent) -> str:
    """The same sum over the whole module."""
    return fingerprint(content, [field.name for field in fields(content)])


def same(one: ModuleContent, other: ModuleContent) -> bool:
    """Whether two contents say the same; the order of needs does not matter."""
    return replace(one, needs=tuple(sorted(one.needs))) == replace(
        other, needs=tuple(sorted(other.needs))
    )
