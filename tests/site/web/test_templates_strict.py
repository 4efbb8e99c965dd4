"""What the content security policy would block is not in any template."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

TEMPLATES = sorted((settings.ROOT / "templates").rglob("*.html"))
STYLE = re.compile(r"<style|\sstyle\s*=", re.IGNORECASE)
HANDLER = re.compile(r"<[^>]*\son[a-z]+\s*=\s*[\"']", re.IGNORECASE)
SCRIPT = re.compile(r"<script(?P<attrs>[^>]*)>(?P<body>.*?)</script>", re.IGNORECASE | re.DOTALL)
COMMENT = re.compile(r"{#.*?#}|{% comment %}.*?{% endcomment %}", re.DOTALL)
# WeasyPrint reads these in the worker; no browser and no policy is there.
FOR_PAPER = settings.ROOT / "templates" / "print"


def source(template: Path) -> str:
    return COMMENT.sub("", template.read_text(encoding="utf-8"))


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_a_template_has_no_inline_style_handler_or_script(template: Path) -> None:
    text = source(template)
    if FOR_PAPER not in template.parents:
        assert not STYLE.search(text)
    assert not HANDLER.search(text)
    for script in SCRIPT.finditer(text):
        data = 'type="application/json"' in script["attrs"]
        assert data or ("src=" in script["attrs"] and not script["body"].strip())


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda path: path.name)
def test_a_template_asks_nothing_of_another_site(template: Path) -> None:
    assert not re.search(r"(src|href|action)=[\"'](https?:)?//", source(template))


def test_every_part_says_what_it_expects() -> None:
    for part in (settings.ROOT / "templates" / "parts").rglob("*.html"):
        assert part.read_text(encoding="utf-8").startswith("{# "), part.name


def test_no_template_is_longer_than_150_lines() -> None:
    for template in TEMPLATES:
        assert len(template.read_text(encoding="utf-8").splitlines()) <= 150, template.name
