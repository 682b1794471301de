"""Pages that list comparables and take them by hand."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from inventory.history import history_of
from inventory.lists import listing, show_list
from quotes.resale.forms import EnterForm
from quotes.resale.models import Comparable
from quotes.resale.selectors.listing import comparables_for_list
from quotes.resale.tables import ComparableFilter, ComparableTable, EditableTable
from quotes.resale.verbs.change import OwnSaleError, change_comparable
from quotes.resale.verbs.enter import enter_comparable
from quotes.resale.verbs.remove import remove_comparable
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.shop.selectors import shop_of

LIKE = ("make", "model", "frame")


def comparable_list(request: HttpRequest) -> HttpResponseBase:
    """Show all comparables, searched, narrowed and sorted."""
    edits = allowed(person_of(request).role, "resale:edit")
    context = listing(
        request,
        comparables_for_list(),
        table=EditableTable if edits else ComparableTable,
        filters=ComparableFilter,
        shop=shop_of(request),
    )
    return show_list(request, "quotes/resale/list.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """Enter a comparable; the address may say what it begins with, and where to go on."""
    shop = shop_of(request)
    if request.method != "POST":
        first: dict[str, object] = {"seen_on": timezone.localdate()}
        first |= {name: request.GET[name] for name in LIKE if name in request.GET}
        return _form_page(request, EnterForm(initial=first, shop=shop))
    form = EnterForm(request.POST, shop=shop)
    if not form.is_valid():
        return _form_page(request, form)
    made = enter_comparable(by=person_of(request), **form.facts())
    messages.success(request, f"{made} is entered.")
    return redirect(_onward(request))


def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a comparable; its history stands beneath."""
    comparable = get_object_or_404(Comparable, pk=pk)
    if comparable.is_own_sale:
        return _own_sale(request, comparable)
    form = EnterForm(request.POST or None, comparable=comparable, shop=shop_of(request))
    if request.method != "POST" or not form.is_valid():
        return _form_page(request, form, comparable)
    messages.success(request, f"{change_comparable(comparable, **form.facts())} is saved.")
    return redirect("resale:list")


def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then delete a comparable that was entered by mistake."""
    comparable = get_object_or_404(Comparable, pk=pk)
    if comparable.is_own_sale:
        return _own_sale(request, comparable)
    if request.method != "POST":
        return render(request, "quotes/resale/remove.html", {"comparable": comparable})
    name = str(comparable)
    remove_comparable(comparable)
    messages.success(request, f"{name} is deleted.")
    return redirect("resale:list")


def _own_sale(request: HttpRequest, comparable: Comparable) -> HttpResponse:
    """Say why a sale of the shop's own is not changed here."""
    messages.info(request, str(OwnSaleError(comparable)))
    return redirect("resale:list")


def _form_page(
    request: HttpRequest, form: EnterForm, comparable: Comparable | None = None
) -> HttpResponse:
    """Show the form, with 422 where something in it is wrong."""
    context = {
        "form": form,
        "comparable": comparable,
        "onward": _onward(request),
        "history": history_of(comparable, shop_of(request)) if comparable else (),
    }
    status = 422 if form.errors else 200
    return render(request, "quotes/resale/form.html", context, status=status)


def _onward(request: HttpRequest) -> str:
    """Return where to go afterwards: back to the bike one came from, else to the list."""
    asked = request.POST.get("next") or request.GET.get("next", "")
    if url_has_allowed_host_and_scheme(asked, allowed_hosts=None):
        return asked
    return reverse("resale:list")
