"""Every address of the site: who may open it, what it speaks of, and what it then answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from academy.people.models import Role

if TYPE_CHECKING:
    from tests.site.world import World

AP, AS, ED, VE, MA = (
    Role.APPRENTICE,
    Role.ASSESSOR,
    Role.EDUCATOR,
    Role.VERIFIER,
    Role.MANAGER,
)
ALL = tuple(Role)
STAFF = (AS, ED, VE, MA)


@dataclass(frozen=True)
class Row:
    """One address inside an academy.

    `may` are the roles that may open it, each with what it answers; the others get 403. `about`
    gives each token in the address the kind of row it names. Where `own`, an apprentice who is
    not the one concerned gets 404. A deed answers a get with `on_get`.
    """

    name: str
    may: Mapping[Role, int]
    about: Mapping[str, str] = field(default_factory=dict)
    post: bool = False
    own: bool = False
    query: str = ""
    on_get: int = 405

    def address(self, slug: str, world: World) -> str:
        tokens = {part: world.tokens.get(kind, kind) for part, kind in self.about.items()}
        return reverse(self.name, kwargs={"academy": slug, **tokens}) + self.query

    @property
    def names_a_row(self) -> bool:
        """Whether the address holds a token, which another academy must not know."""
        words = {"basics", "skin_test_hours", "sign-off"}
        return any(kind not in words for kind in self.about.values())


def page(name: str, may: Iterable[Role], *about: str, own: bool = False, query: str = "") -> Row:
    """A page that is opened; `about` is "token=kind", or the kind alone for `token`."""
    return Row(name, dict.fromkeys(may, 200), _about(about), own=own, query=query)


def deed(name: str, may: Iterable[Role], *about: str, gives: int = 302, own: bool = False) -> Row:
    """An address that only takes a post; `gives` is its answer to an empty form."""
    return Row(name, dict.fromkeys(may, gives), _about(about), post=True, own=own)


def touch(name: str, *about: str, gives: int = 302) -> Row:
    """One touch at the chair; a get leads back to the head, for whoever had to sign in anew."""
    return Row(name, {AS: gives}, _about(about), post=True, on_get=302)


def _about(about: Iterable[str]) -> dict[str, str]:
    pairs = (part.rpartition("=") for part in about)
    return {name or "token": kind for name, _, kind in pairs}


INSIDE = [
    page("reports:today", ALL),
    page("reports:matrix-export", [ED, VE, MA]),
    page("reports:record", [VE, MA]),
    deed("reports:record-verify", [VE, MA]),
    deed("reports:record-sign", [VE, MA]),
    page("reports:evidence", ALL, "about=sign-off", "token=signoff", own=True),
    page("reports:evidence-download", ALL, "about=sign-off", "token=signoff", own=True),
    page("reports:progress", ALL, "person", own=True),
    page("reports:standing", ALL, "person=person", "module=module", own=True),
    page("people:member-list", [MA]),
    page("people:member-detail", [MA], "person"),
    page("people:membership-end", [MA], "membership"),
    deed("people:role-give", [MA], "person", gives=200),
    deed("people:place-change", [MA], "person", gives=200),
    page("people:guardian-edit", [MA], "person"),
    deed("people:guardian-remove", [MA], "person"),
    page("people:invitation-list", [MA]),
    page("people:invitation-new", [MA]),
    page("people:invitation-upload", [MA]),
    deed("people:invitation-resend", [MA], "invitation"),
    deed("people:invitation-revoke", [MA], "invitation"),
    page("people:closed-days", [MA]),
    deed("people:closed-day-remove", [MA], "closed_day"),
    page("people:cohort-list", [ED, MA]),
    page("people:cohort-new", [MA]),
    page("people:cohort-detail", [ED, MA], "cohort"),
    page("people:cohort-change", [MA], "cohort"),
    page("people:cohort-end", [MA], "cohort"),
    deed("people:place-new", [MA], "cohort", gives=200),
    page("people:me", ALL),
    deed("people:consent-decide", ALL),
    deed("people:role-choose", ALL, gives=404),  # no role that one holds was named
    page("curriculum:module-list", ALL),
    page("curriculum:module-start", [ED]),
    page("curriculum:module-detail", ALL, "module"),
    page("curriculum:version-detail", ALL, "version"),
    page("curriculum:version-difference", ALL, "module", query="?old=1&new=1"),
    page("curriculum:version-retire", [ED], "version"),
    deed("curriculum:draft-start", [ED], "module"),
    page("curriculum:draft-edit", [ED], "draft", "part=basics"),
    page("curriculum:draft-preview", [ED], "draft"),
    page("curriculum:draft-publish", [ED], "draft"),
    page("curriculum:draft-discard", [ED], "draft"),
    page("curriculum:award-list", ALL),
    page("curriculum:rule-list", ALL),
    page("curriculum:rule-change", [ED], "group=skin_test_hours"),
    page("curriculum:mixture", ALL, query="?tool=bowl"),
    page("curriculum:planner", ALL, query="?pattern=diamond&beside=pattern%3Dhalf_head"),
    page("curriculum:planner-print", ALL, query="?pattern=diamond"),
    deed("curriculum:planner-save", [ED]),
    page("curriculum:label-list", ALL),
    page("curriculum:label-new", [ED]),
    page("curriculum:label-edit", [ED], "label"),
    page("exercises:paper-list", ALL),
    page("exercises:paper-new", [ED]),
    page("exercises:paper-detail", STAFF, "paper"),
    page("exercises:statistics", STAFF),
    page("exercises:statistics-csv", STAFF),
    page("exercises:statistics-xlsx", STAFF),
    page("exercises:paper-results-csv", STAFF, "paper"),
    page("exercises:paper-results-xlsx", STAFF, "paper"),
    page("exercises:paper-statistics", STAFF, "paper"),
    page("exercises:paper-statistics-csv", STAFF, "paper"),
    page("exercises:paper-statistics-xlsx", STAFF, "paper"),
    page("exercises:paper-preview", [ED], "paper"),
    page("exercises:paper-enter", [AS, ED], "paper"),
    page("exercises:sheet-enter", [AS, ED], "token=fresh_paper", "person=person"),
    page("exercises:paper-print", [ED], "paper"),
    page("exercises:print-download", [ED], "print"),
    page("exercises:paper-edit", [ED], "fresh_paper"),
    page("exercises:paper-close", [ED], "fresh_test"),
    deed("exercises:paper-draw", [ED], "paper"),
    page("exercises:paper-follow-up", [ED], "paper"),
    page("exercises:paper-withdraw", [ED], "paper"),
    page("exercises:paper-mark-again", [ED], "paper"),
    page("exercises:paper-answer", [AP], "paper", own=True),
    deed("exercises:sheet-keep", [AP], "sheet", own=True),
    deed("exercises:sheet-outbox", [AP], "sheet", gives=200, own=True),
    page("exercises:sheet-hand-in", [AP], "sheet", own=True),
    page("exercises:sheet-detail", ALL, "handed_in", own=True),
    page("exercises:eye", ALL, "person", own=True),
    page("practice:session-list", ALL),
    page("practice:task-list", ALL),
    page("practice:task-new", [ED]),
    page("practice:task-detail", ALL, "task", own=True),
    page("practice:task-withdraw", [ED], "task"),
    page("practice:session-new", [AP]),
    page("practice:session-export", ALL),
    page("practice:session-detail", ALL, "session", own=True),
    Row("practice:session-confirm", {ED: 200}, {"token": "session"}),
    deed("practice:sessions-confirm", [AS, ED]),
    page("practice:session-take-back", [AP], "session", own=True),
    page("assessment:assessment-list", [AS, ED, VE]),
    page("assessment:assessment-new", [AS]),
    page("assessment:assessment-score", [AS], "head"),
    page("assessment:paper-sheet", [AS, ED], "version"),
    touch("assessment:assessment-level", "head"),
    touch("assessment:assessment-overall", "head", gives=200),
    Row("assessment:assessment-touches", {AS: 400}, _about(["head"]), post=True),
    touch("assessment:assessment-notes", "head"),
    touch("assessment:zone-out", "head", gives=200),
    touch("assessment:fault-new", "head", gives=200),
    touch("assessment:fault-change", "head", "fault=fault", gives=200),
    touch("assessment:photo-new", "head", gives=200),
    page("assessment:photo-remove", [AS], "head", "photo=photo"),
    page("assessment:photo-file", ALL, "result", "photo=photo_of_result", own=True),
    page("assessment:assessment-stop", [AS], "head"),
    page("assessment:assessment-discard", [AS], "head"),
    page("assessment:assessment-feedback", [AS], "head"),
    page("assessment:booking-list", ALL),
    page("assessment:booking-day", [AS, ED]),
    page("assessment:booking-ask", [AP], "module"),
    page("assessment:booking-detail", ALL, "booking", own=True),
    deed("assessment:booking-cancel", ALL, "booking", gives=200, own=True),
    page("assessment:result-list", [AP]),
    page("assessment:result-detail", ALL, "result", own=True),
    page("assessment:feedback-correct", [AS], "result"),
    page("assessment:result-print", ALL, "result", own=True),
    page("assessment:result-download", ALL, "result_print", own=True),
    page("assessment:result-withdraw", [AS], "result"),
    deed("assessment:result-again", [AS], "result"),
    page("assessment:explained", ALL, "result", own=True),
    page("assessment:again", ALL, "person=person", "module=module", own=True),
    page("assessment:appeal-new", [AP], "result", own=True),
    page("assessment:appeal-list", [AP, ED, VE, MA]),
    page("assessment:appeal-detail", [AP, ED, VE, MA], "appeal", own=True),
    page("assessment:appeal-withdraw", [AP], "appeal", own=True),
    page("assessment:appeal-answer", [VE], "appeal"),
    page("assessment:plan-list", ALL),
    page("assessment:plan-new", [ED]),
    page("assessment:plan-detail", ALL, "plan", own=True),
    page("assessment:plan-close", [ED], "plan"),
    page("assessment:signoff-list", STAFF),
    page("assessment:signoff-new", [AS], "person=person", "module=module"),
    page("assessment:signoff-detail", ALL, "signoff", own=True),
    page("assessment:verification-list", [VE, MA]),
    page("assessment:verification-new", [VE], "signoff"),
    page("assessment:verifier-name", [MA], "signoff"),
    page("assessment:action-answer", [AS, ED], "signoff"),
    page("assessment:second-list", STAFF),
    page("assessment:head-sample", [VE]),
    page("assessment:second-assign", [ED, VE, MA], "awaited"),
    deed("assessment:second-take", [AS], "awaited"),
    page("assessment:second-ask", [AS], "head"),
    page("assessment:pair-list", STAFF),
    page("assessment:pair-detail", STAFF, "split"),
    page("assessment:ruling-new", [VE], "split"),
    page("assessment:ruling-detail", STAFF, "ruled"),
    page("assessment:sample-list", [VE, MA]),
    page("assessment:sample-new", [VE]),
    page("assessment:sample-detail", [VE, MA], "sample"),
    page("assessment:sample-csv", [VE, MA], "sample"),
    deed("assessment:sample-close", [VE], "sample"),
    page("assessment:reference-list", [AS, ED, VE]),
    page("assessment:reference-new", [ED]),
    page("assessment:feedback-rate", [ED]),
    page("assessment:reference-detail", [AS, ED, VE], "reference"),
    page("assessment:reference-edit", [ED], "reference_draft"),
    deed("assessment:reference-start", [AS], "reference"),
    deed("assessment:reference-photo-new", [ED], "reference_draft", gives=200),
    page("assessment:reference-photo-remove", [ED], "reference_draft", "photo=photo_of_draft"),
    page(
        "assessment:reference-photo-file",
        [AS, ED, VE],
        "reference",
        "photo=photo_of_reference",
    ),
    page("awards:certificate-list", [AP, ED, VE, MA]),
    page("awards:certificate-issue", [MA], "award=award", "person=person"),
    page("awards:certificate-detail", [AP, ED, VE, MA], "certificate", own=True),
    page("awards:certificate-withdraw", [MA], "certificate"),
    page("awards:certificate-pdf", [AP, ED, VE, MA], "certificate", own=True),
]

SIGN_IN = 302


@dataclass(frozen=True)
class Outside:
    """An address outside the academies: what it answers signed out, and signed in."""

    name: str
    signed_out: int
    signed_in: int
    arguments: Mapping[str, str] = field(default_factory=dict)
    post: bool = False

    def address(self, world: World) -> str:
        found = {part: world.tokens.get(kind, kind) for part, kind in self.arguments.items()}
        return reverse(self.name, kwargs=found)


OUTSIDE = [
    Outside("people:academies", SIGN_IN, 302),  # one academy, one role: straight home
    Outside("people:demo", 200, 200),
    Outside("people:invitation-accept", 200, 403, {"secret": "secret"}),
    Outside("awards_public:ask", 200, 200),
    Outside("awards_public:check", 200, 200, {"token": "certificate"}),
    Outside("record_public:record", 200, 200, {"slug": "larkmere"}),
    Outside("record_public:checkpoints", 200, 200, {"slug": "larkmere"}),
    Outside("record_public:statement", 404, 404, {"slug": "larkmere", "size": "1"}),
    Outside("record_public:signature", 404, 404, {"slug": "larkmere", "size": "1"}),
    Outside("record_public:consistency", 404, 404, {"slug": "larkmere", "old": "1", "new": "1"}),
    Outside("record_public:key", 404, 404, {"key": "0123456789abcdef"}),
    Outside("appearance", 302, 302, post=True),
    Outside("parts", 404, 404),  # only while BLOCKWORK_PARTS is on
    Outside("account_login", 200, 302),
    Outside("account_logout", SIGN_IN, 200),
    Outside("account_inactive", 200, 200),
    Outside("account_signup", 200, 302),  # says that sign-up is closed
    Outside("account_reauthenticate", SIGN_IN, 200),
    Outside("account_email", SIGN_IN, 200),
    Outside("account_email_verification_sent", 200, 200),
    Outside("account_change_password", SIGN_IN, 200),
    Outside("account_set_password", SIGN_IN, 302),
    Outside("account_reset_password", 200, 200),
    Outside("account_reset_password_done", 200, 200),
    Outside("account_reset_password_from_key", 200, 200, {"uidb36": "1", "key": "no-such-key"}),
    Outside("account_reset_password_from_key_done", 200, 200),
    Outside("account_confirm_email", 200, 200, {"key": "no-such-key"}),
    Outside("account_confirm_login_code", 302, 302),
    Outside("mfa_index", SIGN_IN, 200),
    Outside("mfa_authenticate", SIGN_IN, 302),
    Outside("mfa_reauthenticate", SIGN_IN, 302),
    Outside("mfa_activate_totp", SIGN_IN, 302),
    Outside("mfa_deactivate_totp", SIGN_IN, 404),
    Outside("mfa_view_recovery_codes", SIGN_IN, 404),
    Outside("mfa_generate_recovery_codes", SIGN_IN, 302),
    Outside("mfa_download_recovery_codes", SIGN_IN, 404),
    Outside("mfa_list_webauthn", SIGN_IN, 200),
    Outside("mfa_add_webauthn", SIGN_IN, 302),
    Outside("mfa_reauthenticate_webauthn", SIGN_IN, 302),
    Outside("mfa_remove_webauthn", SIGN_IN, 302, {"pk": "1"}),
    Outside("mfa_edit_webauthn", SIGN_IN, 302, {"pk": "1"}),
    Outside("mfa_login_webauthn", 302, 302),
]


def read_whole(answer: Any) -> None:
    """Read a download to its end, as a browser would; that closes it, and leaves the connection."""
    if answer.streaming:
        b"".join(answer)


def every_name() -> list[str]:
    """The full name of every address there is, once for each pattern."""
    return sorted(_names(get_resolver().url_patterns, ""))


def _names(patterns: Iterable[URLPattern | URLResolver], space: str) -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from _names(pattern.url_patterns, inner)
        else:
            yield f"{space}{pattern.name or pattern.pattern}"
