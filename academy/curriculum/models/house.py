"""House rules and product labels."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.people.models import Academy, Person
from academy.web.tokens import TokenField


class RuleSet(AppendOnlyModel):
    """The academy's house rules under one number. A change is a new number; old ones stay."""

    academy = models.ForeignKey(Academy, models.PROTECT, related_name="rule_sets")
    number = models.PositiveIntegerField()
    rules = models.JSONField(default=dict, blank=True)
    note = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["RuleSet"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["academy", "number"], name="curriculum_ruleset_number_once"
            ),
        ]
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"house rules {self.number}"


class ProductLabel(models.Model):
    """A maker's instructions as the academy entered them; a label beats a house rule."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="product_labels")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    fields = models.JSONField(default=dict)
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    entered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "key"], name="curriculum_label_key_once"),
        ]
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
