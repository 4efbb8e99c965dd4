"""What can be done to the curriculum: verbs, each in one transaction."""

from __future__ import annotations

from academy.curriculum.errors import CurriculumError, StaleDraftError
from academy.curriculum.services.awards import make_award
from academy.curriculum.services.drafts import (
    discard_draft,
    start_draft,
    start_module,
    write_draft,
    write_part,
)
from academy.curriculum.services.house import make_rule_set
from academy.curriculum.services.labels import enter_label
from academy.curriculum.services.loading import Loaded, load_awards, load_modules
from academy.curriculum.services.publishing import publish_version, retire_version
from academy.curriculum.services.sheets import add_sheet

__all__ = [
    "CurriculumError",
    "Loaded",
    "StaleDraftError",
    "add_sheet",
    "discard_draft",
    "enter_label",
    "load_awards",
    "load_modules",
    "make_award",
    "make_rule_set",
    "publish_version",
    "retire_version",
    "start_draft",
    "start_module",
    "write_draft",
    "write_part",
]
