"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class AcceptanceConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.acceptance"
    label = "acceptance"
    verbose_name = "acceptance"
