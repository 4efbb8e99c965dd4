"""What the database itself refuses to change: submitted marks and every decision."""

from __future__ import annotations

from academy.audit import triggers

_PARTS = ("mark", "zoneleftout", "faultmark", "stopevent")
_DECISIONS = {
    "feedback": "feedback that was given",
    "outcome": "an outcome",
    "acknowledgement": "an acknowledgement",
    "ruling": "a ruling",
    "signoff": "a sign-off",
    "signoffassessment": "the evidence of a sign-off",
    "sampleddecision": "a sampled decision",
}


def install() -> None:
    triggers.protect(
        "assessment_assessment", label="a submitted assessment", when="OLD.state = 'submitted'"
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
    # A check constraint cannot look at the sign-off: nobody verifies their own.
    triggers.protect(
        "assessment_verification",
        label="a verification",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_signoff s WHERE s.id = NEW.sign_off_id "
            "AND NEW.verifier_id IN (s.assessor_id, s.apprentice_id))"
        ),
        update_when=triggers.ALWAYS,
    )
    for table, label in _DECISIONS.items():
        triggers.protect(f"assessment_{table}", label=label)
