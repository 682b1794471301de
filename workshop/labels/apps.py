"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class LabelsConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.labels"
    label = "labels"
    verbose_name = "labels"

    def ready(self) -> None:
        """Let the catalogue hold the sizes of labels."""
        from workshop.catalogue import registry
        from workshop.catalogue.loading.kinds import add_kind
        from workshop.labels.catalogue import KIND, LABEL_SIZE

        add_kind("label_size", LABEL_SIZE)
        registry.register(KIND)
