"""The printed quote: a revision as HTML, and that as a PDF."""

from __future__ import annotations

from django.template.loader import render_to_string

from inventory.paper.press import pdf_of
from quotes.print.paper import Paper
from quotes.print.selectors import paper_of
from quotes.quoting.selectors.page import RevisionPage


def html_of(paper: Paper) -> str:
    """Return the printed quote as HTML, without its stylesheet."""
    return render_to_string("print/quote.html", {"paper": paper, "shop": paper.shop})


def render_revision(page: RevisionPage) -> bytes:
    """Return a revision as PDF; the same revision gives the same bytes.

    Raises:
        TotalsDifferError: the lines do not add up to the revision's totals.
    """
    return render_paper(paper_of(page))


def render_paper(paper: Paper) -> bytes:
    """Return the paper as PDF."""
    return pdf_of(html_of(paper), {photo.url: photo.data for photo in paper.photos()})
