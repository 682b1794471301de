"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BuyinConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.buyin"
    label = "buyin"
    verbose_name = "buy-in"

    def ready(self) -> None:
        """Show margin checks on the bike's page; let the catalogue hold the leave rules."""
        from quotes.buyin.catalogue import KIND, LEAVE_RULE
        from quotes.buyin.panels import margin_panel
        from workshop.bikes import panels
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind

        panels.register(margin_panel)
        registry.register(KIND)
        add_kind("leave_rule", LEAVE_RULE)
