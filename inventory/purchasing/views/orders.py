"""Pages of orders: the list, an order, ordering, its PDF and CSV."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control
from django.views.decorators.http import require_POST, require_safe

from inventory.lists import listing, show_list
from inventory.paper.showing import shown_pdf
from inventory.purchasing.errors import PurchaseError
from inventory.purchasing.models import OrderDocument
from inventory.purchasing.paper import order_csv
from inventory.purchasing.selectors import orders_for_list
from inventory.purchasing.tables import OrderFilter, OrderTable
from inventory.purchasing.verbs.place import place
from inventory.purchasing.views import money_of, page_of
from inventory.stock.views import person, sees_costs, shop


def order_list(request: HttpRequest) -> HttpResponseBase:
    """Show all orders, searched and narrowed."""
    hidden = () if sees_costs(request) else ("total",)
    context = listing(
        request, orders_for_list(), table=OrderTable, filters=OrderFilter, exclude=hidden
    )
    return show_list(request, "inventory/purchasing/list.html", context)


def order(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an order: its lines, what came of them and what it cost."""
    page = page_of(pk)
    context = {"page": page, "order": page.order, "order_money": money_of(request, page)}
    return render(request, "inventory/purchasing/order.html", context)


@require_POST
def place_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Order a draft."""
    try:
        ordered = place(page_of(pk).order, by=person(request), shop=shop(request))
    except PurchaseError as error:
        messages.warning(request, str(error))
    else:
        messages.success(
            request, f"{ordered.number} is ordered. Send its PDF to {ordered.supplier}."
        )
    return redirect("purchasing:order", pk)


@require_safe
def pdf(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give the order's PDF as it was kept when it was ordered."""
    kept = OrderDocument.objects.select_related("order").filter(order=pk).first()
    if kept is None:
        raise Http404("This has not been ordered, so there is no PDF of it yet.")
    response = shown_pdf(bytes(kept.pdf), f"{kept.order.number}.pdf")
    patch_cache_control(response, private=True, no_cache=True)
    return response


@require_safe
def as_csv(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the order's lines as CSV."""
    page = page_of(pk)
    name = page.order.number or f"draft-{pk}"
    return HttpResponse(
        order_csv(page),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )
