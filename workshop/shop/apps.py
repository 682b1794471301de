"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.shop"
    label = "shop"
    verbose_name = "shop"
