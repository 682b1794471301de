"""Addresses of the pages of purchasing."""

from django.urls import reverse

from inventory.purchasing.models import PurchaseOrder

SHORT, LIST, POINTS, SETTINGS = (
    reverse(f"purchasing:{name}") for name in ("short", "list", "points", "settings")
)


def url(name: str, order: PurchaseOrder) -> str:
    """Return the address of one of an order's pages."""
    return reverse(f"purchasing:{name}", args=(order.pk,))
