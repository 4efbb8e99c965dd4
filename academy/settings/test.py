"""Settings for the tests: a database in memory, fast hashing, nothing leaves the process."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import gettempdir

from academy.settings import env
from academy.settings.base import *  # noqa: F403
from academy.settings.base import CACHES, TEMPLATES
from academy.settings.queue import Q_CLUSTER

SECRET_KEY = "only-for-tests"  # noqa: S105
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
SITE_ADDRESS = "http://testserver"
BLOCKWORK_DEMO = True
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
MEDIA_ROOT = Path(gettempdir()) / f"blockwork-test-media-{os.getpid()}"
RECORD_KEY_FILE = MEDIA_ROOT.with_suffix(".pem")
DATABASES = {"default": env.database(Path(":memory:"))}
# Named here, so that two runs at once, and the workers of one, do not share a database.
IN_MEMORY = "sqlite" in str(DATABASES["default"]["ENGINE"])
TEST_NAME = ":memory:" if IN_MEMORY else f"test_blockwork_{os.getpid()}"
DATABASES["default"]["TEST"] = {"NAME": TEST_NAME}
CACHES = {**CACHES, "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_AUTOREFRESH = True
Q_CLUSTER = {**Q_CLUSTER, "sync": True}
# Pages are tested with undefined variables as errors (pytest --fail-on-template-vars).
TEMPLATES[0]["OPTIONS"]["debug"] = True  # type: ignore[index]
