"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class JobCardsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.jobcards"
    label = "jobcards"
    verbose_name = "job cards"

    def ready(self) -> None:
        """Let the catalogue hold what is checked before a bike leaves; show a bike's releases."""
        from workshop.bikes import panels
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind
        from workshop.jobcards.catalogue import KIND, RELEASE_ITEM
        from workshop.jobcards.release_panel import release_panel

        add_kind("release_item", RELEASE_ITEM)
        registry.register(KIND)
        panels.register(release_panel)
