"""Pages of the stock book itself, and of what sold bikes teach."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_safe

from inventory.exporting.answering import asked_for
from inventory.lists import listing, show_list
from inventory.paper.showing import shown_pdf
from quotes.sales.forms import DaysForm, this_year
from quotes.sales.selectors.book import Book, Days, book_of
from quotes.sales.selectors.learning import learned_page
from quotes.sales.selectors.period import vat_aid
from quotes.sales.sheet import book_pdf
from quotes.sales.tables import BookOnScreen, BookTable
from workshop.shop.selectors import shop_of


def days_asked(request: HttpRequest) -> tuple[DaysForm, Days]:
    """Return the form of days and the days it asks for: this year where it asks for none."""
    usual = this_year(timezone.localdate())
    asked = {"first", "last"} & request.GET.keys()
    form = DaysForm(request.GET if asked else usual)
    if form.is_valid():
        return form, form.days()
    return form, Days(usual["first"], usual["last"])


@require_safe
def stock_book(request: HttpRequest) -> HttpResponseBase:
    """Show the stock book of some days, with what they mean for the VAT return."""
    form, days = days_asked(request)
    book = book_of(days)
    table = BookTable if asked_for(request) else BookOnScreen
    context = listing(request, list(book.rows), table=table, shop=shop_of(request))
    context |= {"form": form, "book": book, "aid": vat_aid(days), "query": _query(form)}
    return show_list(request, "quotes/sales/book.html", context)


@require_safe
def stock_book_pdf(request: HttpRequest) -> HttpResponse:
    """Print the stock book of some days."""
    _, days = days_asked(request)
    book: Book = book_of(days)
    response = shown_pdf(book_pdf(book, vat_aid(days), shop_of(request)), "stock-book.pdf")
    patch_cache_control(response, private=True, no_store=True)
    return response


def _query(form: DaysForm) -> str:
    """Return the days as they stand in an address."""
    if not form.is_valid():
        return ""
    days = {name: value for name, value in form.cleaned_data.items() if value}
    return "&".join(f"{name}={value.isoformat()}" for name, value in days.items()) or "first="


@require_safe
def learned(request: HttpRequest) -> HttpResponse:
    """Show what sold bikes teach: expected against made."""
    page = learned_page(shop_of(request))
    return render(request, "quotes/sales/learned.html", {"page": page})
