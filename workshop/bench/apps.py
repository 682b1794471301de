"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.bench"
    label = "bench"
    verbose_name = "bench"
