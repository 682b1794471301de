"""The press: a page of HTML as a tagged PDF (PDF/UA-1), with the shop's fonts and print style."""

from __future__ import annotations

import atexit
import gc
import hashlib
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.template.loader import get_template

STATIC = Path(settings.BASE_DIR) / "workshop" / "static"
BASE_URL = STATIC.as_uri() + "/"

_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True, slots=True)
class _Press:
    """The parsed stylesheet and the fonts it names, made once and shared by all pages."""

    css: Any
    fonts: Any


@cache
def _press() -> _Press:
    """Return the press, set up at the first page: parsing and fonts take their time."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    from inventory.paper.fetcher import PaperFetcher

    fonts = FontConfiguration()
    css = CSS(
        string=stylesheet(), base_url=BASE_URL, url_fetcher=PaperFetcher(STATIC), font_config=fonts
    )
    atexit.register(_press.cache_clear)  # the fonts' files go while the library is still whole
    return _Press(css, fonts)


def set_up_afresh() -> None:
    """Forget the press, so that the next page sets it up anew."""
    _press.cache_clear()


def stylesheet() -> str:
    """Return the text of the stylesheet of all that is printed."""
    origin = get_template("print/quote.css").origin  # type: ignore[attr-defined] # all backends have one
    return Path(origin.name).read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Page:
    """A page of HTML, and the JPEGs on it by the addresses that it names them by."""

    html: str
    photos: Mapping[str, bytes]


class PageWantedError(Exception):
    """Raised in a rehearsal (see ``ahead``) where a page is wanted that is not printed yet."""

    def __init__(self, page: Page) -> None:
        self.page = page
        super().__init__("The page must be printed before it is kept.")


READY: ContextVar[tuple[tuple[Page, bytes], ...] | None] = ContextVar("ready", default=None)
"""The pages printed for the verb that is rehearsed; None where none is."""


def pdf_of(html: str, photos: Mapping[str, bytes] | None = None) -> bytes:
    """Return a page of HTML as PDF, in the shop's print style; the same page, the same bytes.

    ``photos`` are JPEGs by the address that the page names them by.

    Raises:
        PageWantedError: a verb is rehearsed and the page is not printed yet.
    """
    page, ready = Page(html, photos or {}), READY.get()
    if ready is None:
        return printed(page)
    for one, pdf in ready:
        if one == page:
            return pdf
    raise PageWantedError(page)


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Let Python look for no garbage meanwhile.

    All that a page is made of is needed until it is written, so looking through it again and again
    finds nothing and takes a fifth of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def printed(page: Page) -> bytes:
    """Return a page as PDF. One is made at a time: the fonts are not made for threads."""
    from weasyprint import HTML

    from inventory.paper.fetcher import PaperFetcher

    fetcher = PaperFetcher(STATIC, page.photos)
    with _ONE_AT_A_TIME, _collector_at_rest():
        press = _press()
        document = HTML(string=page.html, base_url=BASE_URL, url_fetcher=fetcher)
        pdf: bytes = document.write_pdf(
            stylesheets=[press.css],
            font_config=press.fonts,
            pdf_variant="pdf/ua-1",
            pdf_identifier=hashlib.sha256(page.html.encode()).hexdigest()[:32].encode(),
        )
    return pdf
