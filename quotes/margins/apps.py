"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class MarginsConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.margins"
    label = "margins"
    verbose_name = "margin by part"
