"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class StockConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.stock"
    label = "stock"
    verbose_name = "stock"

    def ready(self) -> None:
        """Let a scanned article number open its part."""
        from inventory.scanning import on_scan
        from inventory.stock.selectors import part_scanned

        on_scan(part_scanned)
