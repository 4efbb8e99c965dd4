"""Settings for serving real people. Refuses to start without a secret key and host names."""

from __future__ import annotations

from django.core.exceptions import ImproperlyConfigured

from academy.settings import env
from academy.settings.base import *  # noqa: F403
from academy.settings.base import ALLOWED_HOSTS, SECRET_KEY

if len(SECRET_KEY) < 50:
    raise ImproperlyConfigured(
        "SECRET_KEY is missing or shorter than 50 characters. Set it in the environment; "
        "`python -c 'import secrets; print(secrets.token_urlsafe(64))'` makes one."
    )
if not ALLOWED_HOSTS:
    raise ImproperlyConfigured(
        "ALLOWED_HOSTS is empty. Name the hosts the site answers to, for example blockwork.example."
    )

CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS")
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# Attempts are counted by the caller's address: without this all would share the web server's.
ALLAUTH_TRUSTED_PROXY_COUNT = env.number("TRUSTED_PROXIES", 1)
SECURE_SSL_REDIRECT = env.flag("SECURE_SSL_REDIRECT", default=True)
SECURE_HSTS_SECONDS = env.number("SECURE_HSTS_SECONDS", 31_536_000)
SECURE_HSTS_INCLUDE_SUBDOMAINS = env.flag("SECURE_HSTS_INCLUDE_SUBDOMAINS", default=True)
SECURE_HSTS_PRELOAD = env.flag("SECURE_HSTS_PRELOAD", default=True)
SESSION_COOKIE_SECURE = True
CSRF_COOKIE_SECURE = True
