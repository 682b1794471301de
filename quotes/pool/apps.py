"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class PoolConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.pool"
    label = "pool"
    verbose_name = "global accounting"

    def ready(self) -> None:
        """Show the pool on the first page; let the catalogue hold its rules and the words."""
        from quotes.pool import catalogue
        from quotes.pool.panels import home_panel
        from workshop.catalogue.loading.kinds import add_kind
        from workshop.catalogue.registry import register
        from workshop.people.panels import register_home

        register_home(home_panel)
        add_kind("pool_rule", catalogue.POOL_RULES_IN_FILES)
        add_kind("margin_legend", catalogue.LEGENDS_IN_FILES)
        register(catalogue.POOL_RULES)
        register(catalogue.LEGENDS)
