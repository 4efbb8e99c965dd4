"""Settings for `make run`: the real thing on this machine alone, over plain http."""

from __future__ import annotations

from academy.settings import env
from academy.settings.base import *  # noqa: F403
from academy.settings.base import DATA

# `make run` makes the key once, readable by its owner only.
SECRET_KEY = env.text("SECRET_KEY") or (DATA / "secret-key").read_text().strip()
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *env.words("ALLOWED_HOSTS")]
BLOCKWORK_DEMO = env.flag("BLOCKWORK_DEMO", default=True)

# `make run` notes its address, so that a command beside it prints links that lead there.
_SERVED = DATA / "address"
if not env.text("SITE_ADDRESS") and _SERVED.exists():
    SITE_ADDRESS = _SERVED.read_text().strip()
