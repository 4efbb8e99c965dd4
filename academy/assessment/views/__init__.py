"""Pages of bookings, assessments, sign-offs and verifications."""

from __future__ import annotations
