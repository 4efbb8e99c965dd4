"""What the database itself refuses to change: published editions and house rules."""

from __future__ import annotations

from academy.audit import triggers

_KEPT = (
    "number", "title", "purpose", "families", "cautions", "judged_zones", "heads_required",
    "months_valid", "time_minutes", "time_per", "time_note", "module_id", "published_at",
)  # fmt: skip
_PARTS = ("step", "fault", "criterion", "targetline", "sheet", "prerequisite")


def install() -> None:
    same = " AND ".join(f"NEW.{column} IS NOT DISTINCT FROM OLD.{column}" for column in _KEPT)
    triggers.protect(
        "curriculum_moduleversion",
        label="a published edition",
        when="OLD.state <> 'draft'",
        # Retiring is the one thing that still happens to a published edition.
        update_when=f"OLD.state <> 'draft' AND NOT (NEW.state = 'retired' AND {same})",
    )
    for part in _PARTS:
        frozen = (
            "EXISTS (SELECT 1 FROM curriculum_moduleversion v "
            "WHERE v.id = {row}.version_id AND v.state <> 'draft')"
        )
        triggers.protect(
            f"curriculum_{part}",
            label="a part of a published edition",
            when=frozen.format(row="OLD"),
            insert_when=frozen.format(row="NEW"),
        )
    triggers.protect("curriculum_ruleset", label="a set of house rules")
