"""What the database refuses about second marks, rulings, verifiers and reference heads.

A check constraint cannot look at another table, so that nobody decides on their own work is held
by triggers here.
"""

from __future__ import annotations

from academy.audit import triggers

_SUBMITTED = (
    "EXISTS (SELECT 1 FROM assessment_assessment a "
    "WHERE a.id = {row}.assessment_id AND a.state = 'submitted')"
)
_PUBLISHED = (
    "EXISTS (SELECT 1 FROM assessment_referencehead r "
    "WHERE r.id = {row}.reference_id AND r.published_at IS NOT NULL)"
)
_STAND = {
    "headsampleplan": "a sample plan of heads",
    "actionanswer": "an answer to an action",
    "addeddecision": "a decision added to a sample",
    "feedbackrating": "a rating of feedback",
}


def install() -> None:
    for table, label in _STAND.items():
        triggers.protect(f"assessment_{table}", label=label)
    for table, label in (
        ("headdraw", "the draw of a submitted head"),
        ("referencemarking", "a submitted mark of a reference head"),
    ):
        triggers.protect(
            f"assessment_{table}",
            label=label,
            when=_SUBMITTED.format(row="OLD"),
            insert_when=_SUBMITTED.format(row="NEW"),
        )
    # An appeal asks after submission, so a new row may come; what is there stands.
    triggers.protect(
        "assessment_secondasked",
        label="a wish for a second mark",
        when=_SUBMITTED.format(row="OLD"),
    )
    triggers.protect(
        "assessment_referencehead",
        label="a published reference head",
        when="OLD.published_at IS NOT NULL",
    )
    for table in ("referencelevel", "referencefault"):
        triggers.protect(
            f"assessment_{table}",
            label="what a published reference head says",
            when=_PUBLISHED.format(row="OLD"),
            insert_when=_PUBLISHED.format(row="NEW"),
        )
    _own_work()


def _own_work() -> None:
    """Nobody gives the second mark of, rules on, or verifies what they had a part in."""
    triggers.protect(
        "assessment_secondassignment",
        label="who gives a second mark",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_assessment a WHERE a.id = NEW.first_id "
            "AND NEW.assessor_id IN (a.assessor_id, a.apprentice_id))"
        ),
        update_when=triggers.ALWAYS,
    )
    triggers.protect(
        "assessment_ruling",
        label="a ruling",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_assessment a "
            "WHERE a.id IN (NEW.first_id, NEW.second_id) "
            "AND NEW.verifier_id IN (a.assessor_id, a.apprentice_id))"
        ),
        update_when=triggers.ALWAYS,
    )
    had_a_part = (
        "EXISTS (SELECT 1 FROM assessment_signoff s WHERE s.id = NEW.sign_off_id "
        "AND NEW.verifier_id IN (s.assessor_id, s.apprentice_id)) "
        "OR EXISTS (SELECT 1 FROM assessment_signoffassessment n "
        "JOIN assessment_assessment a ON a.id = n.assessment_id "
        "WHERE n.sign_off_id = NEW.sign_off_id AND a.assessor_id = NEW.verifier_id)"
    )
    for table, label in (
        ("verification", "a verification"),
        ("verifiernamed", "who verifies a sign-off"),
    ):
        triggers.protect(
            f"assessment_{table}",
            label=label,
            insert_when=had_a_part,
            update_when=triggers.ALWAYS,
        )
