"""What the database itself refuses after a "not yet": plans, appeals and scopes that would change,
and answers by somebody who had a part in the head.
"""

from __future__ import annotations

from academy.audit import triggers

_SUBMITTED = (
    "EXISTS (SELECT 1 FROM assessment_assessment a "
    "WHERE a.id = {row}.assessment_id AND a.state = 'submitted')"
)
_LOOK_OF_APPEAL = (
    "SELECT 1 FROM assessment_appeal p JOIN assessment_secondasked s "
    "ON s.assessment_id = p.assessment_id AND s.cause = 'appeal' WHERE p.id = NEW.appeal_id"
)

_TOO_LATE_TO_TAKE_BACK = (
    "EXISTS (SELECT 1 FROM assessment_appealanswer w WHERE w.appeal_id = NEW.appeal_id) "
    "OR EXISTS ({look} AND (NEW.calls_off_id IS NULL OR NEW.calls_off_id <> s.id)) "
    "OR (NEW.calls_off_id IS NOT NULL AND NOT EXISTS ({look} AND s.id = NEW.calls_off_id)) "
    "OR (NEW.calls_off_id IS NOT NULL AND EXISTS (SELECT 1 FROM assessment_appeal p "
    "JOIN assessment_assessment b ON b.second_of_id = p.assessment_id "
    "WHERE p.id = NEW.appeal_id))"
)


def install() -> None:
    triggers.protect(
        "assessment_reassessment",
        label="the scope of a submitted head",
        when=_SUBMITTED.format(row="OLD"),
        insert_when=_SUBMITTED.format(row="NEW"),
    )
    # Closed once; what was agreed stays as it was written. Nobody plans for themselves.
    triggers.protect(
        "assessment_actionplan",
        label="an action plan",
        insert_when="NEW.educator_id = NEW.apprentice_id",
        update_when=(
            "OLD.closed_at IS NOT NULL OR NEW.text <> OLD.text OR NEW.due_on <> OLD.due_on "
            "OR NEW.whole_module <> OLD.whole_module OR NEW.apprentice_id <> OLD.apprentice_id "
            "OR NEW.educator_id <> OLD.educator_id OR NEW.made_at <> OLD.made_at "
            "OR NEW.module_version_id <> OLD.module_version_id"
        ),
    )
    triggers.protect(
        "assessment_planclosing",
        label="the closing of an action plan",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_actionplan p "
            "WHERE p.id = NEW.plan_id AND p.apprentice_id = NEW.educator_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    # Only the apprentice appeals, against a first mark that is submitted and not withdrawn.
    triggers.protect(
        "assessment_appeal",
        label="an appeal",
        insert_when=(
            "NOT EXISTS (SELECT 1 FROM assessment_assessment a WHERE a.id = NEW.assessment_id "
            "AND a.state = 'submitted' AND a.kind = 'first' "
            "AND a.apprentice_id = NEW.apprentice_id) "
            "OR EXISTS (SELECT 1 FROM assessment_withdrawal w "
            "WHERE w.assessment_id = NEW.assessment_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    # Nobody answers on their own work: not the apprentice, not an assessor of either mark, and
    # not the verifier whose ruling the appeal is about.
    triggers.protect(
        "assessment_appealanswer",
        label="the answer to an appeal",
        insert_when=(
            "EXISTS (SELECT 1 FROM assessment_appeal p JOIN assessment_assessment a "
            "ON a.id = p.assessment_id OR a.second_of_id = p.assessment_id "
            "WHERE p.id = NEW.appeal_id AND NEW.verifier_id IN (a.assessor_id, a.apprentice_id)) "
            "OR EXISTS (SELECT 1 FROM assessment_appeal p JOIN assessment_ruling r "
            "ON r.first_id = p.assessment_id WHERE p.id = NEW.appeal_id "
            "AND r.verifier_id = NEW.verifier_id AND r.at < p.at) "
            # What was taken back is not answered.
            "OR EXISTS (SELECT 1 FROM assessment_appealwithdrawal w "
            "WHERE w.appeal_id = NEW.appeal_id)"
        ),
        update_when=triggers.ALWAYS,
    )
    # An appeal is taken back before it is answered and before its second look is begun, and that
    # look, no other, is called off with it.
    triggers.protect(
        "assessment_appealwithdrawal",
        label="the withdrawal of an appeal",
        insert_when=_TOO_LATE_TO_TAKE_BACK.format(look=_LOOK_OF_APPEAL),
        update_when=triggers.ALWAYS,
    )
