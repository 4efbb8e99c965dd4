"""What the database itself refuses to change: submitted marks and every decision."""

from __future__ import annotations

from academy.assessment import looking_guards
from academy.audit import triggers

_PARTS = ("mark", "zoneleftout", "faultmark", "stopevent")
_DECISIONS = {
    "feedback": "feedback that was given",
    "outcome": "an outcome",
    "acknowledgement": "an acknowledgement",
    "signoff": "a sign-off",
    "signoffassessment": "the evidence of a sign-off",
    "sampleddecision": "a sampled decision",
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
    for table, label in _DECISIONS.items():
        triggers.protect(f"assessment_{table}", label=label)
    looking_guards.install()
