"""The quote's PDF beside a warm Chromium tab that prints the same HTML."""

from __future__ import annotations

import base64
import re

import pytest

from inventory.paper import press
from inventory.paper.fetcher import PaperFetcher
from quotes.print import pdf as printing
from quotes.print.selectors import paper_of
from quotes.quoting.selectors.page import revision_for_page
from tests.benchmarks.timing import compare
from tests.factories.printing import full_builder
from tests.pdfs import pages_of

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]


def paper(lines: int):
    """Return a quote on paper with that many lines more than the usual ones."""
    made = full_builder()
    made.many_lines(lines, list(made.revision.findings.all()))
    return paper_of(revision_for_page(made.send().pk))


def for_browser(html: str) -> str:
    """Return the printed quote's HTML as a page that a browser can open by itself."""
    css = re.sub(r"shape:(\w+)", _as_data, press.stylesheet())
    head = f'<head><base href="{press.BASE_URL}"><style>{css}</style>'
    return html.replace("<head>", head, 1)


def _as_data(found: re.Match[str]) -> str:
    """Return a shape as an address that carries the picture itself."""
    picture = PaperFetcher(press.STATIC).fetch(found[0]).read()
    return f"data:image/svg+xml;base64,{base64.b64encode(picture).decode()}"


@pytest.mark.parametrize(("lines", "rounds"), [(28, 9), (500, 3)])
def test_pdf_beside_chromium(chromium, tmp_path, lines, rounds):
    sheet = paper(lines)
    file = tmp_path / "quote.html"
    file.write_text(for_browser(printing.html_of(sheet)), encoding="utf-8")
    tab = chromium.new_page()

    def in_chromium():
        tab.goto(file.as_uri())
        return tab.pdf(prefer_css_page_size=True, tagged=True, print_background=True)

    ours, theirs = printing.render_paper(sheet), in_chromium()
    pages = f"{len(pages_of(ours))} pages here, {len(pages_of(theirs))} there"
    title = f"PDF of {len(sheet.lines)} lines, {len(ours) // 1024} kB, {pages}; base: Chromium"
    compare(title, in_chromium, {"WeasyPrint": lambda: printing.render_paper(sheet)}, rounds)
    tab.close()
    assert "Signature" in "".join(pages_of(theirs))


def test_pdf_step_by_step():
    sheet = paper(28)
    made = revision_for_page(sheet.bike.quotes.get().revisions.get().pk)
    compare(
        f"Steps of a PDF of {len(sheet.lines)} lines; base: all of it",
        lambda: printing.render_revision(made),
        {
            "from page to paper": lambda: paper_of(made),
            "paper to HTML": lambda: printing.html_of(sheet),
            "paper to PDF": lambda: printing.render_paper(sheet),
        },
        9,
    )
