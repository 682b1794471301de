"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.inspections"
    label = "inspections"
    verbose_name = "inspections"

    def ready(self) -> None:
        """Show the last inspection on the bike's page, and those under way on the first one."""
        from workshop.bikes.panels import register
        from workshop.inspections.home import under_way_panel
        from workshop.inspections.panels import inspection_panel
        from workshop.people.panels import register_home

        register(inspection_panel)
        register_home(under_way_panel)
