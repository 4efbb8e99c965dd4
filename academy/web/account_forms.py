"""The sign-in forms of django-allauth, speaking as every other form does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from allauth.account import forms as account
from allauth.mfa.base import forms as mfa
from allauth.mfa.totp import forms as totp
from allauth.mfa.webauthn import forms as webauthn
from django.utils.translation import gettext_lazy as _

from academy.web.forms import PlainForm

if TYPE_CHECKING:
    from collections.abc import Mapping


class Spoken(PlainForm):
    """Labels instead of placeholders, our words for the fields."""

    labels: ClassVar[Mapping[str, Any]] = {}
    helps: ClassVar[Mapping[str, Any]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.widget.attrs.pop("placeholder", None)
            field.label = self.labels.get(name, field.label)
            field.help_text = self.helps.get(name, "")


NEW_PASSWORD = {
    "oldpassword": _("Password until now"),
    "password1": _("New password"),
    "password2": _("New password, once more"),
}
NEW_PASSWORD_HELP = {
    "password1": _("Ten characters or more. Three words that do not belong together do well."),
}
KEY_NAME = {"name": _("Name of this key")}
KEY_NAME_HELP = {"name": _("So that you know it again, for example: phone.")}


class LoginForm(Spoken, account.LoginForm):  # type: ignore[misc]
    deed = _("can let you in")
    labels = {"login": _("E-mail address"), "password": _("Password")}


class ChangePasswordForm(Spoken, account.ChangePasswordForm):  # type: ignore[misc]
    labels, helps = NEW_PASSWORD, NEW_PASSWORD_HELP


class SetPasswordForm(Spoken, account.SetPasswordForm):  # type: ignore[misc]
    labels, helps = NEW_PASSWORD, NEW_PASSWORD_HELP


class ResetPasswordForm(Spoken, account.ResetPasswordForm):  # type: ignore[misc]
    deed = _("can be sent")
    labels = {"email": _("E-mail address")}


class ResetPasswordKeyForm(Spoken, account.ResetPasswordKeyForm):  # type: ignore[misc]
    labels, helps = NEW_PASSWORD, NEW_PASSWORD_HELP


class ChangeEmailForm(Spoken, account.ChangeEmailForm):  # type: ignore[misc]
    labels = {"email": _("New e-mail address")}


class AddEmailForm(Spoken, account.AddEmailForm):  # type: ignore[misc]
    labels = {"email": _("New e-mail address")}


class ReauthenticateForm(Spoken, account.ReauthenticateForm):  # type: ignore[misc]
    deed = _("can go on")
    labels = {"password": _("Password")}


class AuthenticateForm(Spoken, mfa.AuthenticateForm):  # type: ignore[misc]
    deed = _("can let you in")
    labels = {"code": _("Six-figure code")}
    helps = {"code": _("From the app on your phone, or one of your recovery codes.")}


class ReauthenticateCodeForm(Spoken, mfa.ReauthenticateForm):  # type: ignore[misc]
    deed = _("can go on")
    labels, helps = AuthenticateForm.labels, AuthenticateForm.helps


class ActivateTOTPForm(Spoken, totp.ActivateTOTPForm):  # type: ignore[misc]
    deed = _("can be switched on")
    labels = {"code": _("Six-figure code that the app shows now")}


class AddWebAuthnForm(Spoken, webauthn.AddWebAuthnForm):  # type: ignore[misc]
    labels = {**KEY_NAME, "passwordless": _("Sign in with this key alone, without a password")}
    helps = KEY_NAME_HELP


class EditWebAuthnForm(Spoken, webauthn.EditWebAuthnForm):  # type: ignore[misc]
    labels, helps = KEY_NAME, KEY_NAME_HELP
