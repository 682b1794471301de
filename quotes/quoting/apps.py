"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.quoting"
    label = "quoting"
    verbose_name = "quotes"
