"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BikesConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.bikes"
    label = "bikes"
    verbose_name = "bikes"
