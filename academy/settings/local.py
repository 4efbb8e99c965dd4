"""Settings for `make run`: the real thing on this machine alone, over plain http."""

from __future__ import annotations

from academy.settings import env
from academy.settings.base import *  # noqa: F403
from academy.settings.base import DATA

# `make run` makes the key once, readable by its owner only.
SECRET_KEY = env.text("SECRET_KEY") or (DATA / "secret-key").read_text().strip()
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *env.words("ALLOWED_HOSTS")]
BLOCKWORK_DEMO = env.flag("BLOCKWORK_DEMO", default=True)
