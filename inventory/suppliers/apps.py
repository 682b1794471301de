"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class SuppliersConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.suppliers"
    label = "suppliers"
    verbose_name = "suppliers"
