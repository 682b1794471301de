"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class ResaleConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.resale"
    label = "resale"
    verbose_name = "comparables"

    def ready(self) -> None:
        """Lead from a bike's page to what it should bring, from the first page to all prices."""
        from quotes.resale.panels import home_panel, resale_panel
        from workshop.bikes.panels import register
        from workshop.people.panels import register_home

        register(resale_panel)
        register_home(home_panel)
