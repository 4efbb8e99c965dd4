"""Settings for working on Blockwork with `manage.py runserver`."""

from __future__ import annotations

from academy.settings.base import *  # noqa: F403

DEBUG = True
SECRET_KEY = "only-for-development-never-served-to-anyone"  # noqa: S105
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
BLOCKWORK_DEMO = True
BLOCKWORK_PARTS = True
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_AUTOREFRESH = True
