"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.inspections"
    label = "inspections"
    verbose_name = "inspections"

    def ready(self) -> None:
        """Show the last inspection on the bike's page."""
        from workshop.bikes.panels import register
        from workshop.inspections.panels import inspection_panel

        register(inspection_panel)
