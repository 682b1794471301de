"""The stock book on paper, landscape, with the sums of what is printed."""

from __future__ import annotations

from babel.dates import format_date
from django.template.loader import render_to_string
from django.utils import timezone

from quotes.sales.selectors.book import FIRST_DAY, LAST_DAY, Book, Days
from quotes.sales.selectors.period import VatAid
from workshop.shop.models import Shop


def book_html(book: Book, aid: VatAid, shop: Shop) -> str:
    """Return the stock book as HTML, without its stylesheet."""
    context = {
        "book": book,
        "aid": aid,
        "shop": shop,
        "language": shop.locale.replace("_", "-"),
        "span": span_words(book.days, shop),
        "today": timezone.localdate(),
        "printed_on": format_date(timezone.localdate(), "long", locale=shop.locale),
    }
    return render_to_string("print/stock_book.html", context)


def span_words(days: Days, shop: Shop) -> str:
    """Return a span of days in words; an open end is left out."""
    first = "" if days.first == FIRST_DAY else format_date(days.first, "long", locale=shop.locale)
    last = "" if days.last == LAST_DAY else format_date(days.last, "long", locale=shop.locale)
    if first and last:
        return f"{first} to {last}"
    return f"from {first}" if first else f"up to {last}" if last else "all of it"


def book_pdf(book: Book, aid: VatAid, shop: Shop) -> bytes:
    """Return the stock book as PDF."""
    from inventory.paper.press import pdf_of

    return pdf_of(book_html(book, aid, shop))
