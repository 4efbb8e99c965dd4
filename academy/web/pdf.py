"""HTML to PDF by WeasyPrint, in the worker process only.

WeasyPrint and the native libraries below it are loaded at the first PDF. They must never come
into a web process: they are heavy, and a fault in them ends the process. Fonts, the font
configuration and parsed style sheets are kept for the life of the process, which makes every
later page three to four times faster.
"""

from __future__ import annotations

import atexit
import gc
import logging
import os
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.conf import settings

from academy.web.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class PdfError(Refused):
    """PDFs cannot be made on this machine; the sentence says what is missing."""


def render_pdf(html: str, *, stylesheets: Sequence[str]) -> bytes:
    """One document as PDF. `stylesheets` are names under static/, such as "css/paper.css".

    Pictures and fonts are read from static/ only; nothing is fetched from anywhere else.
    `PdfError` where the native libraries are missing.
    """
    return render_pdfs([html], stylesheets=stylesheets)[0]


def render_pdfs(pages: Sequence[str], *, stylesheets: Sequence[str]) -> tuple[bytes, int]:
    """Several documents one after the other in one file, and the number of its sheets.

    Each document counts its own pages, so that every person's paper says "page 1 of 2".
    """
    press = _press()
    styles = [_style(name) for name in stylesheets]
    home = _static().as_uri() + "/"
    documents = []
    with _set_aside():
        try:
            for page in pages:
                html = press.HTML(string=page, base_url=home, url_fetcher=_fetcher())
                documents.append(html.render(font_config=_fonts(), stylesheets=styles))
                gc.freeze()
        except press.urls.FatalURLFetchingError as error:
            # It is no Exception, and would end the worker process.
            raise PdfError(str(error.__cause__ or error)) from error
        sheets = [sheet for document in documents for sheet in document.pages]
        with _faults() as faults:
            content: bytes = documents[0].copy(sheets).write_pdf()
    if faults:
        raise PdfError(f"The paper cannot be drawn whole: {faults[0]}.")
    return content, len(sheets)


@contextmanager
def _set_aside() -> Iterator[None]:
    """Pages that are laid and set aside with `gc.freeze` are not looked through for every next one.

    Otherwise a page costs a quarter more as the twentieth of a file than as the first.
    """
    try:
        yield
    finally:
        gc.unfreeze()


@contextmanager
def _faults() -> Iterator[list[str]]:
    """What the engine only logs: after a drawing that fails, the rest of the page is missing."""
    found: list[str] = []

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            found.append(record.getMessage())

    listener = Listener(logging.ERROR)
    logger = logging.getLogger("weasyprint")
    logger.addHandler(listener)
    try:
        yield found
    finally:
        logger.removeHandler(listener)


def _static() -> Path:
    return Path(settings.ROOT) / "static"


@cache
def _press() -> Any:
    # Without a font of our own Pango may end the process on a machine that has none.
    os.environ.setdefault("FONTCONFIG_FILE", str(_static() / "fonts" / "pdf" / "fonts.conf"))
    try:
        import weasyprint  # noqa: PLC0415
    except OSError as error:
        raise PdfError(
            f"PDFs need libraries that are not on this machine. Install them: sudo apt-get "
            f"install {PACKAGES}. Then ask again."
        ) from error
    return weasyprint


@cache
def _fonts() -> Any:
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    # Freed while the C library is still there to free them.
    atexit.register(_fonts.cache_clear)
    return FontConfiguration()


@cache
def _fetcher() -> Any:
    """Reads files under static/ and data in the document itself; refuses every other address."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher  # noqa: PLC0415

    class Local(URLFetcher):  # type: ignore[misc]  # WeasyPrint has no types here
        def fetch(self, url: str, headers: Any = None) -> Any:
            root = _static().resolve().as_uri() + "/"
            if ".." in url or not url.startswith(("data:", root)):
                raise FatalURLFetchingError(f"A PDF may only use our own files, not {url[:80]}")
            return super().fetch(url, headers)

    return Local(allowed_protocols={"file", "data"})


@cache
def _style(name: str) -> Any:
    return _press().CSS(filename=_static() / name, font_config=_fonts(), url_fetcher=_fetcher())
