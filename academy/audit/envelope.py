"""How an entry stands in canonical JSON: its displayed columns around its details."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from academy.craft.proof.canonical import canonical

COLUMNS = (
    "academy_id",
    "at",
    "actor_id",
    "about_id",
    "request_id",
    "action",
    "subject_type",
    "subject_id",
)
"""The displayed columns beside the number, by the names of the table."""


@dataclass(frozen=True, slots=True)
class Envelope:
    """Everything that an entry says beside its details; `at` carries its time zone.

    `sequence` is 0 until the entry has its place in the chain.
    """

    academy_id: int
    at: datetime
    actor_id: int | None
    about_id: int | None
    request_id: str
    action: str
    subject_type: str
    subject_id: int
    sequence: int = 0

    def around(self) -> tuple[bytes, bytes]:
        """The canonical bytes before and after the details.

        The keys before `details` and those after it are parted by the alphabet, so the whole
        can be compared with the columns without reading the details again.
        """
        before, middle, after = self._pieces()
        return before, middle + b"%d" % self.sequence + after

    def around_number(self, details: dict[str, object]) -> tuple[bytes, bytes]:
        """The canonical bytes of the whole entry before and after its number, whatever that is."""
        before, middle, after = self._pieces()
        return before + canonical(details) + middle, after

    @property
    def columns(self) -> tuple[int, datetime, int | None, int | None, str, str, str, int]:
        """The values of `COLUMNS`."""
        return (
            self.academy_id,
            self.at,
            self.actor_id,
            self.about_id,
            self.request_id,
            self.action,
            self.subject_type,
            self.subject_id,
        )

    def _pieces(self) -> tuple[bytes, bytes, bytes]:
        """What stands before the details, between them and the number, and after it."""
        before = canonical(
            {
                "about": self.about_id,
                "academy": self.academy_id,
                "action": self.action,
                "actor": self.actor_id,
                "at": moment(self.at),
            }
        )
        request = canonical({"request": self.request_id})
        subject = canonical({"subject": [self.subject_type, self.subject_id]})
        return (
            before[:-1] + b',"details":',
            b"," + request[1:-1] + b',"sequence":',
            b"," + subject[1:],
        )


def moment(at: datetime) -> str:
    """A time as the record writes it: UTC, microseconds, such as 2026-03-02T09:30:00.000000Z."""
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"
