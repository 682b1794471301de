"""Pages about suppliers and what they sell."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from inventory.history import history_of
from inventory.lists import listing, show_list
from inventory.parts.models import Part
from inventory.suppliers.forms import MatchForm, SupplierForm
from inventory.suppliers.models import Supplier, SupplierPart
from inventory.suppliers.selectors import (
    articles_of,
    parts_like,
    prices_before,
    suppliers_for_list,
)
from inventory.suppliers.tables import ArticleFilter, ArticleTable, SupplierFilter, SupplierTable
from inventory.suppliers.verbs.match import NoLongerSoldError, match

LISTS_SHOWN = 10


def shop_of(request: HttpRequest) -> Any:  # noqa: ANN401 - the layer above sets the shop
    """Return the shop that the layer above put on the request."""
    return request.shop  # type: ignore[attr-defined]


def supplier_list(request: HttpRequest) -> HttpResponseBase:
    """Show all suppliers, searched and sorted."""
    context = listing(request, suppliers_for_list(), table=SupplierTable, filters=SupplierFilter)
    return show_list(request, "inventory/suppliers/list.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """Enter a supplier."""
    return _edited(request, Supplier())


def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a supplier."""
    return _edited(request, get_object_or_404(Supplier, pk=pk))


def _edited(request: HttpRequest, supplier: Supplier) -> HttpResponse:
    """Show the form, or save and go to the supplier's page."""
    shop = shop_of(request)
    form = SupplierForm(
        request.POST if request.method == "POST" else None,
        instance=supplier,
        currency=shop.currency,
        locale=shop.locale,
    )
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved} is saved.")
        return redirect("suppliers:detail", saved.pk)
    context = {"form": form, "supplier": supplier if supplier.pk else None}
    status = 422 if form.errors else 200
    return render(request, "inventory/suppliers/form.html", context, status=status)


def detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a supplier: terms, what it sells, its price lists."""
    supplier = get_object_or_404(suppliers_for_list(), pk=pk)
    context = {
        "supplier": supplier,
        "supplier_money": _money_of(request, supplier),
        "price_lists": supplier.price_lists.select_related("applied_by")[:LISTS_SHOWN],
    }
    return render(request, "inventory/suppliers/detail.html", context)


def history(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what was changed on a supplier."""
    supplier = get_object_or_404(Supplier, pk=pk)
    context = {"supplier": supplier, "history": history_of(supplier, _money_of(request, supplier))}
    return render(request, "inventory/suppliers/history.html", context)


class _Money:
    """The supplier's currency in the shop's way of writing."""

    def __init__(self, currency: str, locale: str) -> None:
        self.currency, self.locale = currency, locale


def _money_of(request: HttpRequest, supplier: Supplier) -> _Money:
    return _Money(supplier.currency, shop_of(request).locale)


def articles(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Show what a supplier sells at which price."""
    supplier = get_object_or_404(Supplier, pk=pk)
    context = listing(
        request,
        articles_of(supplier),
        table=ArticleTable,
        filters=ArticleFilter,
        locale=shop_of(request).locale,
        currency=supplier.currency,
    )
    context["supplier"] = supplier
    return show_list(request, "inventory/suppliers/articles.html", context)


def article(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an article with every price it has had."""
    found = get_object_or_404(SupplierPart.objects.select_related("supplier", "part"), pk=pk)
    context = {
        "article": found,
        "prices": list(prices_before(found)),
        "money": _money_of(request, found.supplier),
    }
    return render(request, "inventory/suppliers/article.html", context)


def match_part(request: HttpRequest, pk: int) -> HttpResponse:
    """Look for our part and match the article with it."""
    found = get_object_or_404(SupplierPart.objects.select_related("supplier", "part"), pk=pk)
    source = request.POST if request.method == "POST" else request.GET
    offered = list(parts_like(source.get("find", "") or found.gtin or found.name.split(" ")[0]))
    if found.part and found.part not in offered:
        offered.insert(0, found.part)
    if chosen := source.get("part", ""):
        offered += [
            part
            for part in Part.objects.filter(pk=int(chosen) if chosen.isdecimal() else 0)
            if part not in offered
        ]
    form = MatchForm(
        request.POST if "save" in request.POST else None,
        offered=offered,
        initial={"part": found.part_id, "find": source.get("find", "")},
    )
    if "save" in request.POST and form.is_valid():
        try:
            match(found, form.cleaned_data["part"])
        except NoLongerSoldError as error:
            messages.warning(request, str(error))
        else:
            messages.success(request, f"{found.code} is saved.")
        return redirect("suppliers:articles", found.supplier_id)
    context = {"form": form, "article": found, "offered": offered}
    status = 422 if form.errors else 200
    return render(request, "inventory/suppliers/match.html", context, status=status)
