"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class DemoConfig(AppConfig):
    """Name and label of the room."""

    name = "quotes.demo"
    label = "demo"
    verbose_name = "demo shop"
