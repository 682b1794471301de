"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class NumberingConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.numbering"
    label = "numbering"
    verbose_name = "running numbers"
