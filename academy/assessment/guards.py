"""What the database itself refuses to change: submitted marks and every decision."""

from __future__ import annotations

from academy.assessment import again_guards, looking_guards
from academy.audit import triggers

_PARTS = ("mark", "zoneleftout", "faultmark", "stopevent", "photo")
_DECISIONS = {
    "feedback": "feedback that was given",
    "outcome": "an outcome",
    "acknowledgement": "an acknowledgement",
    "signoff": "a sign-off",
}


def install() -> None:
    triggers.protect(
        "assessment_assessment",
        label="a submitted assessment",
        when="OLD.state = 'submitted'",
        # A second mark never comes from the first's assessor; a check cannot look at that row.
        insert_when=(
            "NEW.kind = 'second' AND EXISTS (SELECT 1 FROM assessment_assessment f "
            "WHERE f.id = NEW.second_of_id AND f.assessor_id = NEW.assessor_id)"
        ),
    )
    submitted = (
        "EXISTS (SELECT 1 FROM assessment_assessment a "
        "WHERE a.id = {row}.assessment_id AND a.state = 'submitted')"
    )
    for part in _PARTS:
        triggers.protect(
            f"assessment_{part}",
            label="a submitted mark",
            when=submitted.format(row="OLD"),
            insert_when=submitted.format(row="NEW"),
        )
    # What was withdrawn is no evidence, and what is evidence is not withdrawn any more.
    triggers.protect(
        "assessment_signoffassessment",
        label="the evidence of a sign-off",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_withdrawal w "
            "WHERE w.assessment_id = NEW.assessment_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    triggers.protect(
        "assessment_withdrawal",
        label="a withdrawal",
        insert_when=(
            "NOT EXISTS (SELECT 1 FROM assessment_assessment a "
            "WHERE a.id = NEW.assessment_id AND a.state = 'submitted' AND a.kind = 'first' "
            "AND a.assessor_id = NEW.by_id) "
            "OR EXISTS (SELECT 1 FROM assessment_signoffassessment s "
            "WHERE s.assessment_id = NEW.assessment_id) "
            "OR EXISTS (SELECT 1 FROM assessment_assessment b "
            "WHERE b.second_of_id = NEW.assessment_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    for table, label in _DECISIONS.items():
        triggers.protect(f"assessment_{table}", label=label)
    looking_guards.install()
    again_guards.install()
