from __future__ import annotations

from academy.web.refused import Refused


class PracticeError(Refused):
    """Why a practice session was not logged, confirmed or taken back."""
