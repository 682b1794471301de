"""What a printed page may load: static files, photos given to it, small pictures by name."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from weasyprint.urls import URLFetcher, URLFetcherResponse

from inventory.paper.pictures import picture

TYPES = {".woff": "font/ttf", ".svg": "image/svg+xml", ".css": "text/css"}


class RefusedError(ValueError):
    """Raised for an address that paper may not load."""


class PaperFetcher(URLFetcher):
    """Serve ``file:`` below one folder, ``photo:`` from memory and ``shape:`` by name.

    Nothing else is opened: no network, no other file, not even by way of ``..`` or a link.
    """

    def __init__(self, static: Path, photos: Mapping[str, bytes] | None = None) -> None:
        """Take the folder of static files and the photos by their address."""
        super().__init__(allowed_protocols=("file", "photo", "shape"), allow_redirects=False)
        self._static = static.resolve()
        self._photos = photos or {}

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> Any:  # noqa: ANN401 - the base is untyped
        """Return what the address names.

        Raises:
            RefusedError: it is none of the things that paper may load.
        """
        if url in self._photos:
            return _answer(url, self._photos[url], "image/jpeg")
        parts = urlsplit(url)
        drawn = picture(parts.path) if parts.scheme == "shape" else None
        if drawn is not None:
            return _answer(url, drawn, TYPES[".svg"])
        if parts.scheme == "file" and not parts.netloc:
            path = Path(unquote(parts.path)).resolve()
            if path.is_relative_to(self._static) and path.suffix in TYPES and path.is_file():
                body = _unpacked(path) if path.suffix == ".woff" else path.read_bytes()
                return _answer(url, body, TYPES[path.suffix])
        raise RefusedError(f"A printed page may not load {url}")


def _unpacked(font: Path) -> bytes:
    """Return a WOFF font unpacked and unchanged.

    WeasyPrint would unpack it too, but stamp it with the time: no two files would be the same.
    """
    from fontTools.ttLib import TTFont

    out = io.BytesIO()
    with TTFont(font, recalcTimestamp=False, recalcBBoxes=False) as unpacked:
        unpacked.flavor = None
        unpacked.save(out)
    return out.getvalue()


def _answer(url: str, body: bytes, kind: str) -> Any:  # noqa: ANN401 - the library is untyped
    """Return bytes as the library expects them."""
    return URLFetcherResponse(url, body, {"Content-Type": kind})
