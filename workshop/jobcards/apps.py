"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class JobCardsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.jobcards"
    label = "jobcards"
    verbose_name = "job cards"

    def ready(self) -> None:
        """Tell the catalogue, the stock, a bike's page and the first page of this room."""
        from inventory.scanning import on_scan
        from inventory.stock import wants
        from workshop.bikes import panels
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind
        from workshop.jobcards.arrivals import come_in_panel
        from workshop.jobcards.catalogue import KIND, RELEASE_ITEM
        from workshop.jobcards.panels import bike_panel, home_panel
        from workshop.jobcards.release_panel import release_panel
        from workshop.jobcards.scanned import card_scanned
        from workshop.jobcards.waiting import came_in
        from workshop.jobcards.waiting import wants as waited_for
        from workshop.people.panels import register_home

        add_kind("release_item", RELEASE_ITEM)
        registry.register(KIND)
        panels.register(bike_panel)
        panels.register(release_panel)
        wants.register(waited_for, came_in)
        register_home(home_panel)
        register_home(come_in_panel)
        on_scan(card_scanned)
