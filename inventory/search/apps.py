"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class SearchConfig(AppConfig):
    """Name and label of the room."""

    name = "inventory.search"
    label = "search"
    verbose_name = "search"

    def ready(self) -> None:
        """See after every migration that the index is still kept in step."""
        from inventory.search.indexing import keep_in_step

        post_migrate.connect(keep_in_step, sender=self)
