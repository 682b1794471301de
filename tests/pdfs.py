"""Reading PDFs back: their pages and their words."""

from __future__ import annotations

import io

import pypdf


def read(pdf: bytes) -> pypdf.PdfReader:
    """Open a PDF."""
    return pypdf.PdfReader(io.BytesIO(pdf), strict=True)


def pages_of(pdf: bytes) -> list[str]:
    """Return the text of each page."""
    return [page.extract_text() for page in read(pdf).pages]


def words_of(pdf: bytes) -> str:
    """Return the whole text, each run of white space as one space."""
    return " ".join("\n".join(pages_of(pdf)).split())
