"""Pages of purchasing: what is short, orders, goods in, reorder points."""

from __future__ import annotations

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from inventory.purchasing.models import PurchaseOrder
from inventory.purchasing.paper import OrderMoney
from inventory.purchasing.selectors import OrderPage, order_page
from inventory.stock.views import shop


def page_of(pk: int) -> OrderPage:
    """Return an order's page, or answer that there is none."""
    found = get_object_or_404(PurchaseOrder.objects.select_related("supplier"), pk=pk)
    return order_page(found)


def money_of(request: HttpRequest, page: OrderPage) -> OrderMoney:
    """Return the order's currency in the shop's way of writing."""
    return OrderMoney(page.order.currency, shop(request).locale)
