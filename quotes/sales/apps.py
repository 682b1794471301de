"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.sales"
    label = "sales"
    verbose_name = "sales"

    def ready(self) -> None:
        """Lead here from a bike's page and the first page; hand names over to retention."""
        from quotes.provenance.retention import others
        from quotes.sales.keeping import KEEPER
        from quotes.sales.panels import home_panel, stock_panel
        from workshop.bikes.panels import register
        from workshop.people.panels import register_home

        register(stock_panel)
        register_home(home_panel)
        others.register(KEEPER)
