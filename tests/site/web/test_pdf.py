from __future__ import annotations

import subprocess
import sys
from io import BytesIO
from typing import Any

import pytest
from django.conf import settings
from pypdf import PdfReader

from academy.web import pdf

pytestmark = pytest.mark.usefixtures("press")

STYLES = ["css/paper.css"]
PAGE = """<!doctype html><html lang="en-GB">
<head><title>Paper 3</title></head>
<body class="paper-bg"><main><section class="a4">
<h1>Żaneta Næss mixes 60 g</h1><code>1 : 1,5</code>{}
</section></main></body></html>"""


def fonts_of(reader: PdfReader) -> set[str]:
    found = set()
    for page in reader.pages:
        fonts: Any = page["/Resources"]
        found |= {str(font.get_object()["/BaseFont"]) for font in fonts["/Font"].values()}
    return {name.partition("+")[2] for name in found}


def test_a_page_becomes_a_pdf_in_our_own_fonts() -> None:
    reader = PdfReader(BytesIO(pdf.render_pdf(PAGE.format(""), stylesheets=STYLES)))
    assert "Żaneta Næss mixes 60 g" in reader.pages[0].extract_text()
    assert {name.partition("-")[0] for name in fonts_of(reader)} == {"Atkinson"}


@pytest.mark.parametrize(
    "address", ["https://example.org/a.png", "file:///etc/hostname", "/media/photo.jpg"]
)
def test_nothing_is_fetched_for_a_paper(address: str) -> None:
    with pytest.raises(pdf.PdfError, match="only use our own files"):
        pdf.render_pdf(PAGE.format(f'<img src="{address}" alt="x">'), stylesheets=STYLES)


def test_the_web_server_never_loads_weasyprint() -> None:
    code = (
        "import django, sys; django.setup(); import academy.urls, academy.wsgi;"
        "sys.exit('weasyprint' in sys.modules)"
    )
    environment = {"DJANGO_SETTINGS_MODULE": "academy.settings.test", "PATH": ""}
    command = [sys.executable, "-c", code]
    subprocess.run(command, cwd=settings.ROOT, env=environment, check=True)


def test_a_drawing_that_cannot_be_drawn_is_refused_and_not_left_half() -> None:
    drawing = '<svg viewBox="0 0 1 1" stroke="currentcolor" opacity="0.5"><path d="M0 0h1"/></svg>'
    with pytest.raises(pdf.PdfError, match="cannot be drawn whole"):
        pdf.render_pdf(PAGE.format(drawing), stylesheets=STYLES)
