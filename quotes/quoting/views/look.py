"""Looking at quotes: the list, a revision, what changed in it, who changed it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render

from inventory.lists import listing, show_list
from quotes.quoting.selectors.compare import comparison
from quotes.quoting.selectors.lists import latest_revisions
from quotes.quoting.selectors.trail import history_of
from quotes.quoting.tables import QuoteFilter, QuoteTable
from quotes.quoting.views.shared import body_context, in_place, page_for, revision_of
from workshop.shop.selectors import shop_of


def quotes(request: HttpRequest) -> HttpResponseBase:
    """Show all quotes by their latest revision, searched, narrowed and sorted."""
    context = listing(
        request, latest_revisions(), table=QuoteTable, filters=QuoteFilter, shop=shop_of(request)
    )
    return show_list(request, "quotes/quoting/list.html", context)


def revision(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show a revision; a draft can be worked on."""
    page = page_for(request, number, revision)
    name = "in_place" if in_place(request) else "revision"
    return render(request, f"quotes/quoting/{name}.html", body_context(request, page))


def compare(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show what changed since the revision that the customer saw before."""
    shown = revision_of(number, revision)
    context = {"revision": shown, "quote": shown.quote, "comparison": comparison(shown)}
    return render(request, "quotes/quoting/compare.html", context)


def history(request: HttpRequest, number: str, revision: int) -> HttpResponse:
    """Show who changed what of a revision, and when."""
    shown = revision_of(number, revision)
    entries = history_of(shown, shop_of(request))
    context = {"revision": shown, "quote": shown.quote, "entries": entries}
    return render(request, "quotes/quoting/history.html", context)
