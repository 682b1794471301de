"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.inspections"
    label = "inspections"
    verbose_name = "inspections"
