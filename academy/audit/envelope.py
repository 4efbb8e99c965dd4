"""How an entry stands in canonical JSON: its displayed columns around its details."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from academy.craft.proof.canonical import canonical


@dataclass(frozen=True, slots=True)
class Envelope:
    """Everything that an entry says beside its details; `at` carries its time zone."""

    academy_id: int
    sequence: int
    at: datetime
    actor_id: int | None
    about_id: int | None
    request_id: str
    action: str
    subject_type: str
    subject_id: int

    def around(self) -> tuple[bytes, bytes]:
        """The canonical bytes before and after the details.

        The keys before `details` and those after it are parted by the alphabet, so the whole
        can be compared with the columns without reading the details again.
        """
        before = canonical(
            {
                "about": self.about_id,
                "academy": self.academy_id,
                "action": self.action,
                "actor": self.actor_id,
                "at": moment(self.at),
            }
        )
        after = canonical(
            {
                "request": self.request_id,
                "sequence": self.sequence,
                "subject": [self.subject_type, self.subject_id],
            }
        )
        return before[:-1] + b',"details":', b"," + after[1:]

    def write(self, details: dict[str, object]) -> bytes:
        """The canonical bytes of the whole entry."""
        before, after = self.around()
        return before + canonical(details) + after


def moment(at: datetime) -> str:
    """A time as the record writes it: UTC, microseconds, such as 2026-03-02T09:30:00.000000Z."""
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"
