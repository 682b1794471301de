"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class ProvenanceConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.provenance"
    label = "provenance"
    verbose_name = "provenance"

    def ready(self) -> None:
        """Show the check on the bike's page; let the catalogue hold how long data are kept."""
        from quotes.provenance import catalogue
        from quotes.provenance.panels import provenance_panel
        from workshop.bikes.panels import register as register_panel
        from workshop.catalogue.loading.kinds import add_kind
        from workshop.catalogue.registry import register

        register_panel(provenance_panel)
        add_kind("retention_rule", catalogue.RULES_IN_FILES)
        register(catalogue.RETENTION_RULES)
