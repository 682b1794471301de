"""The application of this room."""

from __future__ import annotations

from django.apps import AppConfig


class CustomersConfig(AppConfig):
    """Name and label of the room."""

    name = "workshop.customers"
    label = "customers"
    verbose_name = "customers"
