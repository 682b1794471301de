"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BikesConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.bikes"
    label = "bikes"
    verbose_name = "bikes"

    def ready(self) -> None:
        """Show on the first page what waits; tell stock what it must know; open scanned labels."""
        from inventory.scanning import on_scan
        from inventory.shopfacts import tell
        from workshop.bikes.home import stages_panel, to_inspect_panel, to_quote_panel
        from workshop.bikes.selectors import bike_scanned
        from workshop.bikes.telling import Told
        from workshop.people.panels import register_home

        tell(Told())
        on_scan(bike_scanned)
        register_home(to_inspect_panel)
        register_home(to_quote_panel)
        register_home(stages_panel)
