"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PartsConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.parts"
    label = "parts"
    verbose_name = "parts"
