"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PriceListsConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.pricelists"
    label = "pricelists"
    verbose_name = "price lists"
