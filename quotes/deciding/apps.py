"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class DecidingConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.deciding"
    label = "deciding"
    verbose_name = "buy-in decision"

    def ready(self) -> None:
        """Let the catalogue hold what may hide in a bike."""
        from quotes.deciding.catalogue import HIDDEN_RISK, KIND
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind

        registry.register(KIND)
        add_kind("hidden_risk", HIDDEN_RISK)
