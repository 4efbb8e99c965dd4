"""Path converters, registered once when the site's urls are read."""

from __future__ import annotations

from django.urls import register_converter

from academy.web.tokens import TokenConverter


def register() -> None:
    register_converter(TokenConverter, "token")
