"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PurchasingConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.purchasing"
    label = "purchasing"
    verbose_name = "purchasing"

    def ready(self) -> None:
        """Show on a part's page what is on order."""
        from inventory.purchasing.panels import on_order_panel
        from inventory.stock.panels import register

        register(on_order_panel)
