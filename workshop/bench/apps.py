"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.bench"
    label = "bench"
    verbose_name = "bench"

    def ready(self) -> None:
        """Tell the first page of this room."""
        from workshop.bench.home import promises_panel
        from workshop.people.panels import register_home

        register_home(promises_panel)
