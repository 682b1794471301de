"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class LabourConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.labour"
    label = "labour"
    verbose_name = "labour"
