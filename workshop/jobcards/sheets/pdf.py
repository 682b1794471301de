"""The release sheet as HTML, and that as a PDF."""

from __future__ import annotations

from django.template.loader import render_to_string

from inventory.paper.press import pdf_of
from workshop.jobcards.sheets.paper import SheetPaper


def sheet_html(paper: SheetPaper) -> str:
    """Return the sheet as HTML, without its stylesheet."""
    return render_to_string("print/release_sheet.html", {"paper": paper, "shop": paper.shop})


def sheet_pdf(paper: SheetPaper) -> bytes:
    """Return the sheet as PDF; the same sheet gives the same bytes."""
    return pdf_of(sheet_html(paper))
