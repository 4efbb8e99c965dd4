"""PDFs out of pages, with our own fonts and nothing from outside. Call it in a task only.

WeasyPrint takes half a second to load and a fault in its C libraries ends the process, so it is
loaded in the worker at the first PDF. The parsed style sheet and the fonts are kept for life:
that makes a later page several times faster (docs/running.md).
"""

from __future__ import annotations

import atexit
import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders

if TYPE_CHECKING:
    from collections.abc import Callable

FONTS = settings.ROOT / "static" / "fonts" / "pdf" / "fonts.conf"
PAPER = "css/blockwork.css"
# Addresses of a page and of its style sheets are read against this one; none is ever asked for.
HOME = "http://static.invalid/"

# Read by fontconfig when WeasyPrint loads it: system fonts become invisible.
os.environ.setdefault("FONTCONFIG_FILE", str(FONTS))


class PdfError(Exception):
    """No PDF can be made; the sentence says what to do."""


def render_pdf(html: str, *, style: str = PAPER) -> bytes:
    """A whole page (with `lang` and `<title>`) as a tagged PDF.

    `style` is a static file and stands for the style sheets that the page links to. Any other
    address in the page, as of a picture, is refused: put the matter itself there. Raises
    PdfError then, and where the libraries are missing.
    """
    weasyprint = _weasyprint()
    fonts, sheet = _kept(style)
    page = weasyprint.HTML(string=html, base_url=HOME, url_fetcher=_fetcher(_only_links))
    try:
        made: bytes = page.write_pdf(stylesheets=[sheet], font_config=fonts, pdf_variant="pdf/ua-1")
    except weasyprint.urls.FatalURLFetchingError as error:
        raise PdfError(str(error.__cause__)) from error
    return made


def _weasyprint() -> Any:
    try:
        # Loading it needs Pango and takes long; the web server never comes here.
        import weasyprint  # noqa: PLC0415
    except OSError as error:
        raise PdfError(
            "PDFs need Pango, which this machine lacks. Run `sudo apt-get install "
            "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0` and start Blockwork again."
        ) from error
    return weasyprint


@cache
def _kept(style: str) -> tuple[Any, Any]:
    """The fonts and the parsed style sheet of this process."""
    weasyprint = _weasyprint()
    # Loaded only after the function above has checked that the libraries are there.
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    # Freed while the C library is still there to free them.
    atexit.register(_kept.cache_clear)
    fonts = FontConfiguration()
    fetcher = _fetcher(_static_style, fatal=False)
    return fonts, weasyprint.CSS(url=f"{HOME}{style}", font_config=fonts, url_fetcher=fetcher)


def _fetcher(answer: Callable[[str], bytes], *, fatal: bool = True) -> Any:
    """What WeasyPrint asks for the matter behind an address; `fatal` ends the PDF at a refusal."""
    urls = _weasyprint().urls

    class Fetcher(urls.URLFetcher):  # type: ignore[misc,name-defined]  # loaded just above
        def fetch(self, url: str, headers: object = None) -> Any:  # noqa: ARG002
            return urls.URLFetcherResponse(url, answer(url), {"Content-Type": "text/css"})

    return Fetcher(fail_on_errors=fatal)


def _static_style(url: str) -> bytes:
    """A style sheet among the static files. The web fonts are left to fontconfig: it is faster."""
    path = urlsplit(url).path.lstrip("/")
    found = finders.find(path) if path.endswith(".css") else None
    if found is None:
        raise ValueError(f"{url} is no style sheet among the static files.")
    return Path(str(found)).read_bytes()


def _only_links(url: str) -> bytes:
    """The style sheets that a page names are the kept one already; it may ask for nothing else."""
    if url.startswith(HOME) and url.endswith(".css"):
        return b""
    raise ValueError(f"{url} is not fetched: a paper holds all that it shows.")
