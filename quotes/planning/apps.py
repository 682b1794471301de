"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.planning"
    label = "planning"
    verbose_name = "cheapest plan"

    def ready(self) -> None:
        """Let the catalogue hold service packages and what goes together."""
        from quotes.planning.catalogue import BOND, BOND_KIND, PACKAGE, PACKAGE_KIND
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind

        registry.register(PACKAGE_KIND)
        registry.register(BOND_KIND)
        add_kind("package", PACKAGE)
        add_kind("bond", BOND)
