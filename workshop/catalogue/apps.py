"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class CatalogueConfig(AppConfig):
    """Name and label of the room; it registers the kinds of this layer."""

    name = "workshop.catalogue"
    label = "catalogue"
    verbose_name = "catalogue"

    def ready(self) -> None:
        """Register the kinds, one line each."""
        from workshop.catalogue import kinds
        from workshop.catalogue.registry import register

        register(kinds.labour_rates.KIND)
        register(kinds.skill_bands.KIND)
        register(kinds.vat_rates.KIND)
        register(kinds.parts.KIND)
        register(kinds.remedies.KIND)
        register(kinds.operations.KIND)
        register(kinds.access_steps.KIND)
        register(kinds.checkpoints.KIND)
        register(kinds.faults.KIND)
        register(kinds.judgement_rules.KIND)
        register(kinds.measures.KIND)
