"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.catalogue"
    label = "catalogue"
    verbose_name = "catalogue"
