"""What a password must be, said our way; the checks themselves are Django's."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import password_validation as standard
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _


class LongEnough(standard.MinimumLengthValidator):
    def get_error_message(self) -> str:
        words = _("Too short. Use at least %(least)d characters, for example four words.")
        return words % {"least": self.min_length}

    def get_help_text(self) -> str:
        return _("At least %(least)d characters.") % {"least": self.min_length}


class NotCommon(standard.CommonPasswordValidator):
    def get_error_message(self) -> str:
        return _(
            "Too common: it is on lists that are tried first. Join a few words that nobody else "
            "would put together."
        )

    def get_help_text(self) -> str:
        return _("None that many people use.")


class NotAboutYou(standard.UserAttributeSimilarityValidator):
    def validate(self, password: str, user: Any = None) -> None:
        try:
            super().validate(password, user)
        except ValidationError as found:
            words = _(
                "Too close to your name or e-mail address. Choose words that do not lead to you."
            )
            raise ValidationError(words, code=found.code) from found

    def get_help_text(self) -> str:
        return _("Not your name or e-mail address.")
