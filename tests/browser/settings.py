"""Settings of the site that the browser tests walk through: `make run`, with mail in files.

Middleware, compressed static files with hashed names, server and database are the real ones.
"""

from __future__ import annotations

from academy.settings.local import *  # noqa: F403
from academy.settings.local import DATA
from academy.settings.queue import Q_CLUSTER
from tests.trial import register

BLOCKWORK_DEMO = False
EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
EMAIL_FILE_PATH = DATA / "mail"
# Mails and papers are there when the answer comes; the worker has tests of its own.
Q_CLUSTER = {**Q_CLUSTER, "sync": True}
# A hash that is quick to make: nobody's password is kept here.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# All of them come from one address, and sign in more often than people there would.
ACCOUNT_RATE_LIMITS = {"login": "600/m/ip"}
# A family that asks for every kind of answer.
register()
