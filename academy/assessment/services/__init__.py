"""What people do with bookings, assessments and decisions: one verb, one transaction, one entry."""

from __future__ import annotations
