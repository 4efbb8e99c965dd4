"""How the record tells what was done to the curriculum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.audit import sentences

if TYPE_CHECKING:
    from collections.abc import Mapping

    from django.db.models import Model

SENTENCES = {
    "curriculum.module.started": "{actor} started the module {module}",
    "curriculum.draft.started": "{actor} started a draft: {subject}",
    "curriculum.draft.discarded": "{actor} threw away the draft of {module}, version {number}",
    "curriculum.version.published": "{actor} published {subject}",
    "curriculum.version.retired": "{actor} took {subject} out of use",
    "curriculum.ruleset.made": "{actor} made {subject}, values changed: {count}",
    "curriculum.award.made": "{actor} made the award {subject}",
    "curriculum.label.entered": "{actor} entered the product label {subject}",
    "curriculum.label.corrected": "{actor} corrected the product label {subject}",
}


def install() -> None:
    """Make the actions known, and the rows of this app readable."""
    from academy.curriculum.models import (  # noqa: PLC0415  (models are not ready on import)
        Award,
        ModuleVersion,
        ProductLabel,
        RuleSet,
    )

    for action, sentence in SENTENCES.items():
        sentences.register(action, sentence)
    for model in (ModuleVersion, RuleSet, Award, ProductLabel):
        sentences.resolve(model._meta.label_lower, _reader(model))


def _reader(model: type[Model]) -> sentences.Resolver:
    def read(ids: set[sentences.Value]) -> Mapping[sentences.Value, str]:
        return {row.pk: str(row) for row in model._default_manager.filter(pk__in=ids)}

    return read
