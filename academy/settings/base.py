"""Settings common to every way of running Blockwork. Facts about each are in docs/running.md."""

from __future__ import annotations

from pathlib import Path

import django_stubs_ext
from csp.constants import NONE, SELF

from academy.settings import env
from academy.settings.queue import Q_CLUSTER  # noqa: F401

django_stubs_ext.monkeypatch()

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(env.text("BLOCKWORK_DATA", str(ROOT / ".run")))

DEBUG = False
SECRET_KEY = env.text("SECRET_KEY")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS")
SITE_ADDRESS = env.text("SITE_ADDRESS", "http://localhost:8000")

BLOCKWORK_DEMO = env.flag("BLOCKWORK_DEMO")
BLOCKWORK_PARTS = env.flag("BLOCKWORK_PARTS")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "django.contrib.staticfiles",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django_htmx",
    "django_q",
    "template_partials",
    "academy.web",
    "academy.audit",
    "academy.people",
    "academy.curriculum",
    "academy.exercises",
    "academy.practice",
    "academy.assessment",
    "academy.awards",
    "academy.reports",
    "academy.demo",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "academy.web.request_id.RequestIdMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "academy.web.kept_out.NotKeptMiddleware",
    "academy.web.signed_out.SignedOutMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "academy.people.acting.ActingMiddleware",
]

ROOT_URLCONF = "academy.urls"
WSGI_APPLICATION = "academy.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "academy.people.acting.context",
                "academy.reports.nav.context",
                "academy.web.appearance.context",
            ],
        },
    },
]

DATABASES = {"default": env.database(DATA / "blockwork.sqlite3")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "academy.people.passwords.NotAboutYou"},
    {"NAME": "academy.people.passwords.LongEnough", "OPTIONS": {"min_length": 10}},
    {"NAME": "academy.people.passwords.NotCommon"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "people:academies"

ACCOUNT_ADAPTER = "academy.people.adapter.ClosedAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_FORMS = {
    "login": "academy.web.account_forms.LoginForm",
    "change_password": "academy.web.account_forms.ChangePasswordForm",
    "set_password": "academy.web.account_forms.SetPasswordForm",
    "reset_password": "academy.web.account_forms.ResetPasswordForm",
    "reset_password_from_key": "academy.web.account_forms.ResetPasswordKeyForm",
    "change_email": "academy.web.account_forms.ChangeEmailForm",
    "add_email": "academy.web.account_forms.AddEmailForm",
    "reauthenticate": "academy.web.account_forms.ReauthenticateForm",
}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_REAUTHENTICATION_TIMEOUT = 300
MFA_FORMS = {
    "authenticate": "academy.web.account_forms.AuthenticateForm",
    "reauthenticate": "academy.web.account_forms.ReauthenticateCodeForm",
    "activate_totp": "academy.web.account_forms.ActivateTOTPForm",
    "add_webauthn": "academy.web.account_forms.AddWebAuthnForm",
    "edit_webauthn": "academy.web.account_forms.EditWebAuthnForm",
}
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_ISSUER = "Blockwork"

EMAIL_BACKEND = env.text("EMAIL_BACKEND", "django.core.mail.backends.console.EmailBackend")
EMAIL_HOST = env.text("EMAIL_HOST", "localhost")
EMAIL_PORT = env.number("EMAIL_PORT", 25)
EMAIL_HOST_USER = env.text("EMAIL_HOST_USER")
EMAIL_HOST_PASSWORD = env.text("EMAIL_HOST_PASSWORD")
EMAIL_USE_TLS = env.flag("EMAIL_USE_TLS")
DEFAULT_FROM_EMAIL = env.text("DEFAULT_FROM_EMAIL", "Blockwork <no-reply@localhost>")

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
STATICFILES_DIRS = [ROOT / "static"]
MEDIA_ROOT = DATA / "media"
# Signs the record's checkpoints (docs/record.md). Needed where a worker runs, nowhere else.
RECORD_KEY_FILE = Path(env.text("RECORD_KEY_FILE", str(DATA / "record-key.pem")))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "academy.web.static_names.HashedStaticFiles"},
}

# Widgets have templates of our own (templates/parts/widgets).
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"
CRISPY_FAIL_SILENTLY = False

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
        "object-src": [NONE],
        "manifest-src": [SELF],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 12
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
CSRF_FAILURE_VIEW = "academy.web.errors.csrf_failure"

# Holds counts of attempts only. One web process keeps them in its memory; where several serve
# (SHARED_CACHE=1, after `manage.py createcachetable`) they count together in the database.
SHARED_CACHE = env.flag("SHARED_CACHE")
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache"
        if SHARED_CACHE
        else "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "blockwork_cache",
    },
    "worker": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "worker"},
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"request_id": {"()": "academy.web.request_id.RequestIdFilter"}},
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s [%(request_id)s] %(message)s"}
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["request_id"],
        }
    },
    "root": {"handlers": ["console"], "level": "INFO"},
    # WeasyPrint warns of every rule of Bootstrap that paper has no use for.
    "loggers": {"django-q": {"level": "WARNING"}, "weasyprint": {"level": "ERROR"}},
}
