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
# Who signed it, marked its evidence first or second or ruled on it, or is its apprentice: what
# `rules.involved_in` reads.
_HAD_A_PART = (
    "EXISTS (SELECT 1 FROM assessment_signoff s WHERE s.id = NEW.sign_off_id "
    "AND {person} IN (s.assessor_id, s.apprentice_id)) "
    "OR EXISTS (SELECT 1 FROM assessment_signoffassessment n "
    "JOIN assessment_assessment a ON a.id = n.assessment_id OR a.second_of_id = n.assessment_id "
    "WHERE n.sign_off_id = NEW.sign_off_id AND a.assessor_id = {person}) "
    "OR EXISTS (SELECT 1 FROM assessment_signoffassessment n "
    "JOIN assessment_ruling r ON r.first_id = n.assessment_id "
    "WHERE n.sign_off_id = NEW.sign_off_id AND r.verifier_id = {person})"
)
_OVERTURNED = (
    "EXISTS (SELECT 1 FROM assessment_verification v "
    "WHERE v.sign_off_id = NEW.sign_off_id AND v.result = 'overturned')"
)
_STAND = {
    "headsampleplan": "a sample plan of heads",
    "actionanswer": "an answer to an action",
    "addeddecision": "a decision added to a sample",
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
    # An appeal asks after submission, so its row may come then; what is there stands.
    triggers.protect(
        "assessment_secondasked",
        label="a wish for a second mark",
        when=_SUBMITTED.format(row="OLD"),
        insert_when=f"NEW.cause <> 'appeal' AND {_SUBMITTED.format(row='NEW')}",
    )
    triggers.protect(
        "assessment_referencehead",
        label="a published reference head",
        when="OLD.published_at IS NOT NULL",
    )
    for table in ("referencelevel", "referencefault", "referencephoto"):
        triggers.protect(
            f"assessment_{table}",
            label="what a published reference head says",
            when=_PUBLISHED.format(row="OLD"),
            insert_when=_PUBLISHED.format(row="NEW"),
        )
    _own_work()


def _own_work() -> None:
    """Nobody gives the second mark of, rules on, verifies or rates what they had a part in.

    Nor does anybody choose who does, or draw the sample it lies in.
    """
    triggers.protect(
        "assessment_secondassignment",
        label="who gives a second mark",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_assessment a WHERE a.id = NEW.first_id "
            "AND (NEW.assessor_id IN (a.assessor_id, a.apprentice_id) "
            "OR NEW.by_id IN (a.assessor_id, a.apprentice_id)))"
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
    drawer = "(SELECT p.made_by_id FROM assessment_sampleplan p WHERE p.id = NEW.plan_id)"
    for table, label, whose in (
        ("verifiernamed", "who verifies a sign-off", ["NEW.verifier_id", "NEW.by_id"]),
        ("sampleddecision", "a sampled decision", [drawer]),
    ):
        triggers.protect(
            f"assessment_{table}",
            label=label,
            insert_when=" OR ".join(_HAD_A_PART.format(person=person) for person in whose),
            update_when=triggers.ALWAYS,
        )
    triggers.protect(
        "assessment_verification",
        label="a verification",
        # What was overturned stays so: nothing comes after it.
        insert_when=f"{_HAD_A_PART.format(person='NEW.verifier_id')} OR {_OVERTURNED}",
        update_when=triggers.ALWAYS,
    )
    triggers.protect(
        "assessment_feedbackrating",
        label="a rating of feedback",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_feedback f "
            "WHERE f.id = NEW.feedback_id AND f.written_by_id = NEW.educator_id)"
        ),
        update_when=triggers.ALWAYS,
    )
