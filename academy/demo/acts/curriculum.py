"""Modules, awards, training labels, house rules and a draft of a second version."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from academy.curriculum.models import ModuleVersion
from academy.curriculum.rows import content_of
from academy.curriculum.services import (
    enter_label,
    load_awards,
    load_modules,
    make_rule_set,
    start_draft,
    write_draft,
)
from academy.demo import story
from academy.demo.stage import Event, Stage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.demo.calendar import Calendar

LABELS = Path(__file__).resolve().parents[3] / "shared" / "rules" / "training_labels.toml"
FIRST_LEAD, LATER_LEAD = Decimal(15), Decimal(10)
RULES_CHANGED = -30


def events(calendar: Calendar) -> Iterator[Event]:
    yield Event(calendar.at(-474, 600), _modules)
    yield Event(calendar.at(-473, 620), _labels)
    yield Event(calendar.at(-472, 640), _first_rules)
    yield Event(calendar.at(RULES_CHANGED, 660), _later_rules)
    yield Event(calendar.at(-12, 985), _draft)


def _modules(stage: Stage) -> None:
    maren = stage.people[story.MAREN]
    load_modules(academy=stage.academy, by=maren)
    load_awards(academy=stage.academy, by=maren)
    versions = ModuleVersion.objects.filter(academy=stage.academy).select_related("module")
    stage.versions |= {version.module.key: version for version in versions.with_parts()}


def _labels(stage: Stage) -> None:
    for key, fields in tomllib.loads(LABELS.read_text("utf-8"))["label"].items():
        stage.labels[key] = enter_label(
            academy=stage.academy,
            by=stage.people[story.MAREN],
            name=fields["name"],
            key=key,
            fields={name: value for name, value in fields.items() if name != "name"},
        )


def _first_rules(stage: Stage) -> None:
    make_rule_set(
        academy=stage.academy,
        by=stage.people[story.MAREN],
        changes={"start_lead": FIRST_LEAD},
        note="Start in a zone of its own only where the lead is plain to see.",
    )


def _later_rules(stage: Stage) -> None:
    make_rule_set(
        academy=stage.academy,
        by=stage.people[story.JOSIAH],
        changes={"start_lead": LATER_LEAD},
        note="Ten points are seen well enough by now; earlier papers keep 15.",
    )


def _draft(stage: Stage) -> None:
    """Josiah's second version of weaves: more practice of the chunky class."""
    josiah = stage.people[story.JOSIAH]
    draft = start_draft(module=stage.versions["weaves"].module, by=josiah)
    content = content_of(draft)
    targets = tuple(
        replace(line, count=4) if line.tag == "chunky" else line for line in content.targets
    )
    write_draft(version=draft, content=replace(content, targets=targets), by=josiah)
