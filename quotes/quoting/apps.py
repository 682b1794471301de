"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.quoting"
    label = "quoting"
    verbose_name = "quotes"

    def ready(self) -> None:
        """Put the quotes on the bike's page and on the first page."""
        from quotes.quoting.panels import bike_panel, home_panel
        from workshop.bikes.panels import register
        from workshop.people.panels import register_home

        register(bike_panel)
        register_home(home_panel)
