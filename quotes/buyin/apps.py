"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BuyinConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.buyin"
    label = "buyin"
    verbose_name = "buy-in"
