"""Real transactions: verifiers, managers and assessors who decide in the same moment.

On PostgreSQL two transactions run at once, and the second waits for what the first holds. SQLite
has one writer at a time, so there the second begins when the first is over.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from django.db import connection, transaction

from academy.assessment.models import (
    AddedDecision,
    Appeal,
    Assessment,
    SamplePlan,
    SecondAsked,
    SignOff,
    Verification,
)
from academy.assessment.services.appealing import appeal
from academy.assessment.services.feedback import correct_feedback
from academy.assessment.services.sampling import close_sample_plan, looked_at
from academy.assessment.services.signing import verify
from academy.assessment.services.withdrawing import withdraw
from academy.awards.models import Certificate
from academy.awards.queries import state_of
from academy.awards.services import issue_certificate, withdraw_certificate
from academy.awards.state import State
from academy.people.models import Academy, Person, Role
from academy.web.refused import Refused
from tests.site.assessment.batches import looked_at_batch
from tests.site.making import award_of, full_boxes, judged_head, upheld
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion

pytestmark = pytest.mark.django_db(transaction=True)

Deed = Callable[[], object]


class Meanwhile:
    """Another's deed in a transaction of its own, begun while this one's is not over.

    It either waits for this one's locks or is over at once; both are given time.
    """

    def __init__(self, deed: Deed) -> None:
        self.refused: Refused | None = None
        self.trouble: BaseException | None = None
        self.deed = deed
        self.thread = threading.Thread(target=self._run)

    def _run(self) -> None:
        try:
            self.deed()
        except Refused as refused:
            self.refused = refused
        except BaseException as error:  # noqa: BLE001  (told to the test by `ends`)
            self.trouble = error
        finally:
            connection.close()

    def begins(self) -> None:
        if connection.vendor == "sqlite":
            return
        self.thread.start()
        self.thread.join(timeout=1.5)

    def ends(self) -> None:
        if connection.vendor == "sqlite":
            self.thread.start()
        self.thread.join(timeout=30)
        assert not self.thread.is_alive(), "still waiting for a lock"
        assert self.trouble is None


def at_once(first: Deed, second: Deed) -> Meanwhile:
    """`second` begins when `first` has done all but commit; how it ended."""
    other = Meanwhile(second)
    with transaction.atomic():
        first()
        other.begins()
    other.ends()
    return other


@pytest.fixture
def other_verifier(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.VERIFIER, name="Pia Harrow")


def overturning(row: SignOff, verifier: Person) -> Deed:
    return lambda: verify(sign_off=row, verifier=verifier, result="overturned", text="not theirs")


def upholding(row: SignOff, verifier: Person) -> Deed:
    return lambda: verify(sign_off=row, verifier=verifier, result="upheld")


def test_what_is_overturned_is_not_upheld_in_the_same_moment(
    sign_off: SignOff, verifier: Person, other_verifier: Person
) -> None:
    other = at_once(overturning(sign_off, verifier), upholding(sign_off, other_verifier))
    assert other.refused is not None
    assert "was overturned" in other.refused.message
    assert Verification.objects.get().result == "overturned"
    assert not SignOff.objects.all().standing().exists()


def test_what_is_upheld_may_be_overturned_in_the_same_moment_by_another(
    sign_off: SignOff, verifier: Person, other_verifier: Person
) -> None:
    other = at_once(upholding(sign_off, verifier), overturning(sign_off, other_verifier))
    assert other.refused is None
    assert [row.result for row in sign_off.verifications.all()] == ["overturned", "upheld"]


def test_the_database_lets_nothing_follow_on_an_overturned_sign_off(
    sign_off: SignOff, verifier: Person
) -> None:
    overturning(sign_off, verifier)()
    for result in ("upheld", "overturned"):
        with refused_by_the_database():
            Verification.objects.create(
                academy=sign_off.academy,
                sign_off=sign_off,
                verifier=verifier,
                result=result,
                text="again",
            )


@pytest.fixture
def issuing(
    academy: Academy, educator: Person, manager: Person, sign_off: SignOff, verifier: Person
) -> Deed:
    award = award_of(academy, educator, sign_off.module_version)
    upheld(sign_off, verifier)
    return lambda: issue_certificate(
        academy=academy, award=award, holder=sign_off.apprentice, by=manager
    )


def test_a_certificate_issued_in_the_moment_of_overturning_lapses(
    sign_off: SignOff, verifier: Person, issuing: Deed
) -> None:
    other = at_once(issuing, overturning(sign_off, verifier))
    assert other.refused is None
    assert state_of(Certificate.objects.get()).state is State.LAPSED


def test_no_certificate_is_issued_in_the_moment_of_overturning(
    sign_off: SignOff, verifier: Person, issuing: Deed
) -> None:
    other = at_once(overturning(sign_off, verifier), issuing)
    assert other.refused is not None
    assert not Certificate.objects.exists()


def test_a_batch_is_not_closed_over_a_decision_added_in_the_same_moment(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    other_verifier: Person,
    make_member: Callable[..., Person],
) -> None:
    plan = looked_at_batch(version, assessor, verifier, make_member)
    drawn = looked_at(plan)[0].sign_off
    other = at_once(
        overturning(drawn, verifier), lambda: close_sample_plan(plan=plan, by=other_verifier)
    )
    assert AddedDecision.objects.count() > 0
    assert other.refused is not None
    assert "still to be looked at" in other.refused.message
    assert SamplePlan.objects.get(pk=plan.pk).closed_at is None


def test_an_appeal_pressed_twice_in_the_same_moment_is_one_with_one_second_look(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(version, assessor, apprentice, level=1, overall=1)

    def press() -> None:
        read = Assessment.objects.for_result().get(pk=head.pk)
        appeal(assessment=read, apprentice=apprentice, text="The nape was done.")

    other = at_once(press, press)
    assert other.refused is None
    assert (Appeal.objects.count(), SecondAsked.objects.count()) == (1, 1)


def test_no_appeal_is_made_in_the_moment_of_withdrawing(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(version, assessor, apprentice, level=1, overall=1)
    other = at_once(
        lambda: withdraw(assessment=head, by=assessor, reason="Another's levels."),
        lambda: appeal(assessment=head, apprentice=apprentice, text="The nape was done."),
    )
    assert other.refused is not None
    assert not Appeal.objects.exists()


def test_feedback_corrected_twice_in_the_same_moment_is_corrected_once(
    submitted: Assessment, assessor: Person
) -> None:
    given = submitted.feedback.get()

    def press() -> None:
        boxes = replace(full_boxes(), why="the light was poor")
        correct_feedback(feedback=given, by=assessor, boxes=boxes, reason="Said more clearly.")

    other = at_once(press, press)
    assert other.refused is not None
    assert "corrected already" in other.refused.message
    assert submitted.feedback.count() == 2


def test_a_certificate_withdrawn_twice_in_the_same_moment_is_withdrawn_once(
    issuing: Deed, manager: Person
) -> None:
    issuing()
    certificate = Certificate.objects.get()

    def press() -> None:
        withdraw_certificate(certificate=certificate, by=manager, reason="Name misspelt.")

    other = at_once(press, press)
    assert other.refused is not None
    assert "withdrawn already" in other.refused.message
    assert certificate.events.filter(kind="withdrawn").count() == 1


def test_a_certificate_replaced_twice_in_the_same_moment_is_replaced_once(
    academy: Academy, issuing: Deed, manager: Person
) -> None:
    issuing()
    old = Certificate.objects.get()
    withdraw_certificate(certificate=old, by=manager, reason="Name misspelt.")

    def press() -> None:
        issue_certificate(
            academy=academy, award=old.award, holder=old.holder, by=manager, replaces=old
        )

    other = at_once(press, press)
    assert other.refused is not None
    assert "replaced already" in other.refused.message
    assert Certificate.objects.exclude(pk=old.pk).get().replaces == old
