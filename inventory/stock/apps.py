"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class StockConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.stock"
    label = "stock"
    verbose_name = "stock"
